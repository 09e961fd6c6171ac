package book

import (
	"strings"
	"unicode"

	"tablehand/assessment"
)

// FileName is what a workbook is called when it is saved: with the name of the
// apprentice it is about, or "" for the whole salon. The name is written in
// plain letters, because not every computer keeps the others in a file name.
func FileName(apprentice string, day assessment.Day) string {
	parts := []string{"tablehand"}
	if apprentice != "" {
		parts = append(parts, orKey(plain(apprentice), "one-apprentice"))
	}
	return strings.Join(append(parts, day.String()), "-") + ".xlsx"
}

// plainLetters are the letters of European alphabets outside a to z.
var plainLetters = strings.NewReplacer(
	"à", "a", "á", "a", "â", "a", "ã", "a", "ä", "a", "å", "a", "ā", "a", "ă", "a", "ą", "a", "æ", "ae",
	"ç", "c", "ć", "c", "č", "c", "ď", "d", "đ", "d", "ð", "d", "è", "e", "é", "e", "ê", "e", "ë", "e", "ē", "e", "ę", "e", "ě", "e", "ė", "e",
	"ğ", "g", "ģ", "g", "ì", "i", "í", "i", "î", "i", "ï", "i", "ī", "i", "į", "i", "ı", "i", "ķ", "k", "ł", "l", "ľ", "l", "ļ", "l",
	"ñ", "n", "ń", "n", "ň", "n", "ņ", "n", "ò", "o", "ó", "o", "ô", "o", "õ", "o", "ö", "o", "ø", "o", "ő", "o", "ō", "o", "œ", "oe",
	"ř", "r", "ŕ", "r", "ś", "s", "š", "s", "ş", "s", "ș", "s", "ß", "ss", "ť", "t", "ţ", "t", "ț", "t", "þ", "th",
	"ù", "u", "ú", "u", "û", "u", "ü", "u", "ů", "u", "ű", "u", "ū", "u", "ų", "u", "ý", "y", "ÿ", "y", "ź", "z", "ž", "z", "ż", "z")

// plain is a name in a to z, digits and hyphens, at most 60 of them; what has no
// plain form is left out.
func plain(name string) string {
	var b strings.Builder
	for _, r := range plainLetters.Replace(strings.ToLower(name)) {
		switch {
		case r >= 'a' && r <= 'z' || r >= '0' && r <= '9':
			b.WriteRune(r)
		case unicode.Is(unicode.Mn, r): // an accent of its own
		case b.Len() > 0 && !strings.HasSuffix(b.String(), "-"):
			b.WriteByte('-')
		}
	}
	out := b.String()
	return strings.Trim(out[:min(len(out), 60)], "-")
}

func orKey(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
