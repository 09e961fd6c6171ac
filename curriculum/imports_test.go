package curriculum_test

import (
	"os/exec"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func deps(t *testing.T, packages ...string) []string {
	t.Helper()
	out, err := exec.Command("go", append([]string{"list", "-deps"}, packages...)...).CombinedOutput()
	require.NoError(t, err, "%s", out)
	return strings.Fields(string(out))
}

// The standard and the judgement know nothing of pages, storage or sheets, and
// the standard knows nothing else of this module.
func TestDirectionOfImports(t *testing.T) {
	barred := []string{"net/http", "html/template", "text/template", "database/sql", "github.com/gin-gonic/", "gorm.io/",
		"github.com/xuri/excelize", "modernc.org/sqlite", "tablehand/server", "tablehand/exports", "tablehand/cmd"}
	all := deps(t, "tablehand/curriculum", "tablehand/assessment/...")
	require.Contains(t, all, "tablehand/assessment/sequence")
	require.Contains(t, all, "github.com/goccy/go-yaml", "the list holds the modules of others too")
	for _, d := range all {
		for _, b := range barred {
			assert.False(t, d == b || strings.HasPrefix(d, strings.TrimSuffix(b, "/")+"/"), "%s is imported", d)
		}
	}
	for _, d := range deps(t, "tablehand/curriculum") {
		if strings.HasPrefix(d, "tablehand/") {
			assert.Equal(t, "tablehand/curriculum", d)
		}
	}
	for _, d := range deps(t, "tablehand/assessment/sequence") {
		if strings.HasPrefix(d, "tablehand/") {
			assert.Equal(t, "tablehand/assessment/sequence", d)
		}
	}
}
