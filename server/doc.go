// Package server answers a browser: it reads requests, asks the store and
// assessment, and fills typed page structs. It decides nothing about
// competence.
//
// Every route stands in one table with the roles that may use it; a route
// without a policy keeps the server from starting. Handlers return an error
// and one adapter turns it into an answer.
package server
