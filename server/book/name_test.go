package book

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"tablehand/assessment"
)

func TestFileName(t *testing.T) {
	day := assessment.Date(2026, 5, 20)
	for name, want := range map[string]string{
		"":                       "tablehand-2026-05-20.xlsx",
		"Jory Pell":              "tablehand-jory-pell-2026-05-20.xlsx",
		"Aïsha  Okonkwo-Brandt ": "tablehand-aisha-okonkwo-brandt-2026-05-20.xlsx",
		"Nils Østergård":         "tablehand-nils-ostergard-2026-05-20.xlsx",
		"../\"x\";\n":            "tablehand-x-2026-05-20.xlsx",
		"Łucja Żak":              "tablehand-lucja-zak-2026-05-20.xlsx",
		"كلب":                    "tablehand-one-apprentice-2026-05-20.xlsx",
	} {
		assert.Equal(t, want, FileName(name, day), name)
	}
}
