package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"path"
	"strings"
)

//go:embed static
var staticFiles embed.FS

// Static holds the stylesheet, the script modules and the drawings.
var Static fs.FS = mustSub(staticFiles, "static")

// Asset is one embedded file, ready to be answered.
type Asset struct {
	Name        string
	Path        string // "/static/<hash>/<name>": changes when the content does
	ContentType string
	Data        []byte
}

var assets = readAssets(Static)

// AssetPath is the address of an embedded file, with its content in the
// address so that it can be kept for ever. An unknown name gives "".
func AssetPath(name string) string { return assets[name].Path }

// LookupAsset finds the file for an address made by [AssetPath]. An old or
// invented hash is not found.
func LookupAsset(urlPath string) (Asset, bool) {
	a, ok := assets[path.Base(urlPath)]
	return a, ok && a.Path == urlPath
}

func readAssets(from fs.FS) map[string]Asset {
	types := map[string]string{
		".css": "text/css; charset=utf-8",
		".js":  "text/javascript; charset=utf-8",
		".svg": "image/svg+xml",
	}
	found := map[string]Asset{}
	entries, err := fs.ReadDir(from, ".")
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		data, err := fs.ReadFile(from, e.Name())
		if err != nil {
			panic(err)
		}
		sum := sha256.Sum256(data)
		found[e.Name()] = Asset{
			Name:        e.Name(),
			Path:        "/static/" + hex.EncodeToString(sum[:6]) + "/" + e.Name(),
			ContentType: types[strings.ToLower(path.Ext(e.Name()))],
			Data:        data,
		}
	}
	return found
}

func mustSub(f fs.FS, dir string) fs.FS {
	sub, err := fs.Sub(f, dir)
	if err != nil {
		panic(err)
	}
	return sub
}
