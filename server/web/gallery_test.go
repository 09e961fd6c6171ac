package web

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
)

// Gallery is every page in every state worth looking at, by name, for the tests
// that look at them in a browser. Nothing in the program serves it.
func Gallery() map[string]any {
	pages := map[string]any{}
	for _, f := range slices.Concat(fixtures(), moreStates(), longStates()) {
		pages[f.name] = f.page
	}
	return pages
}

// A struct that embeds Shell is a page, so it has a template and stands in the
// gallery; and no two entries share a name.
func TestEveryPageStandsInTheGallery(t *testing.T) {
	shown, names := map[string]bool{}, map[string]bool{}
	for _, f := range slices.Concat(fixtures(), moreStates(), longStates()) {
		shown[reflect.TypeOf(f.page).Name()] = true
		if names[f.name] {
			t.Errorf("two pages are called %s", f.name)
		}
		names[f.name] = true
	}
	known := map[string]bool{}
	for _, p := range pages {
		known[reflect.TypeOf(p.page).Name()] = true
	}
	structs := pageStructs(t)
	if len(structs) < 20 {
		t.Fatalf("only %d pages were found in the source: %v", len(structs), structs)
	}
	for _, name := range structs {
		if !known[name] {
			t.Errorf("%s has no template: add it to the table in render.go", name)
		}
		if !shown[name] {
			t.Errorf("%s is in no state in the gallery: add it to the fixtures", name)
		}
	}
}

// pageStructs reads from the source which exported structs embed Shell.
func pageStructs(t *testing.T) []string {
	t.Helper()
	set := token.NewFileSet()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, name := range files {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.TypeSpec)
			if !ok {
				return true
			}
			s, ok := spec.Type.(*ast.StructType)
			if !ok || !spec.Name.IsExported() {
				return true
			}
			for _, f := range s.Fields.List {
				if id, ok := f.Type.(*ast.Ident); ok && len(f.Names) == 0 && id.Name == "Shell" {
					found = append(found, spec.Name.Name)
				}
			}
			return true
		})
	}
	return found
}
