package web

import (
	"crypto/sha256"
	"embed"
	"encoding/hex"
	"io/fs"
	"path"
	"regexp"
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
	var read func(name string) Asset
	read = func(name string) Asset {
		if a, ok := found[name]; ok {
			return a
		}
		data, err := fs.ReadFile(from, name)
		if err != nil {
			panic(err)
		}
		data = imported.ReplaceAllFunc(data, func(m []byte) []byte {
			return []byte(`from "` + read(string(imported.FindSubmatch(m)[1])).Path + `"`)
		})
		sum := sha256.Sum256(data)
		found[name] = Asset{
			Name:        name,
			Path:        "/static/" + hex.EncodeToString(sum[:6]) + "/" + name,
			ContentType: types[strings.ToLower(path.Ext(name))],
			Data:        data,
		}
		return found[name]
	}
	entries, err := fs.ReadDir(from, ".")
	if err != nil {
		panic(err)
	}
	for _, e := range entries {
		read(e.Name())
	}
	return found
}

// imported is how a script module names one beside it. In what is answered,
// the other one's full address stands there, so that it changes with it.
var imported = regexp.MustCompile(`from "\./([a-z-]+\.js)"`)

func mustSub(f fs.FS, dir string) fs.FS {
	sub, err := fs.Sub(f, dir)
	if err != nil {
		panic(err)
	}
	return sub
}
