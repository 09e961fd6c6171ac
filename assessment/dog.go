package assessment

import (
	"strings"
	"unicode"
)

// SameDog reports whether two labels name the same dog. How it is typed does
// not matter: capitals, doubled blanks and characters that nobody sees make no
// other dog. An empty label names none.
func SameDog(a, b string) bool {
	name := dogName(a)
	return name != "" && (a == b || name == dogName(b))
}

// dogName is a label without what does not matter.
func dogName(label string) string {
	seen := strings.Map(func(r rune) rune {
		if unicode.Is(unicode.Cf, r) || unicode.IsControl(r) && !unicode.IsSpace(r) {
			return -1
		}
		return unicode.ToLower(r)
	}, label)
	return strings.Join(strings.Fields(seen), " ")
}
