// Package testdata carries the reference cases inside the program, so
// that a build can be checked on the computer it runs on, with nothing to fetch.
// What a case holds is said in cases/README.md.
package testdata

import "embed"

// Cases holds the files of the folder cases: one JSON array for each method.
//
//go:embed cases/*.json
var Cases embed.FS
