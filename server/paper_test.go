package server

import (
	"bytes"
	"context"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/chromium"
	"tablehand/server/demo"
	"tablehand/server/web"
)

// papers are the sizes a salon's printer has, upright, in inches: ISO 216 A4 and
// ANSI A.
var papers = map[string][2]float64{"A4": {210 / 25.4, 297 / 25.4}, "Letter": {8.5, 11}}

// need skips a test that uses a program which is not installed. In continuous
// integration that is a failure.
func need(t *testing.T, program, from string) string {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		chromium.Missing(t, fmt.Sprintf("%s is not installed; on Debian: apt-get install %s", program, from))
	}
	return path
}

// printed is the open page on paper, without backgrounds, as a browser prints it
// when nobody changes a setting.
type printed struct {
	file  string
	pages []string // their texts
	wide  bool     // on its side
}

func (b tab) print(size [2]float64) printed {
	b.Helper()
	none := false
	res, err := chromedp.Call(b.ctx, cdppage.PrintToPDF, cdppage.PrintToPDFParams{PaperWidth: size[0], PaperHeight: size[1], PrintBackground: &none})
	require.NoError(b, err)
	p := printed{file: filepath.Join(b.TempDir(), "page.pdf")}
	require.NoError(b, os.WriteFile(p.file, res.Data, 0o600))
	text, err := exec.Command(need(b.T, "pdftotext", "poppler-utils"), "-layout", p.file, "-").Output()
	require.NoError(b, err)
	p.pages = strings.Split(strings.TrimSuffix(string(text), "\f"), "\f")
	info, err := exec.Command(need(b.T, "pdfinfo", "poppler-utils"), p.file).Output()
	require.NoError(b, err)
	require.Contains(b, string(info), fmt.Sprintf("Pages:           %d\n", len(p.pages)))
	var w, h float64
	_, size2, _ := strings.Cut(string(info), "Page size:")
	_, err = fmt.Sscanf(strings.TrimSpace(size2), "%f x %f", &w, &h)
	require.NoError(b, err)
	p.wide = w > h
	short, long := min(w, h), max(w, h)
	assert.InDelta(b, 72*size[0], short, 1, "the paper that is in the printer")
	assert.InDelta(b, 72*size[1], long, 1)
	return p
}

// codes are the QR codes that another program reads off the printed page.
func (b tab) codes(p printed) []string {
	b.Helper()
	picture := strings.TrimSuffix(p.file, ".pdf")
	require.NoError(b, exec.Command(need(b.T, "pdftoppm", "poppler-utils"), "-r", "200", "-png", p.file, picture).Run())
	pictures, err := filepath.Glob(picture + "*.png")
	require.NoError(b, err)
	out, err := exec.Command(need(b.T, "zbarimg", "zbar-tools"), append([]string{"--quiet", "--raw"}, pictures...)...).Output()
	require.NoError(b, err)
	return strings.Split(strings.TrimSuffix(string(out), "\n"), "\n")
}

// demoSalon is the invented salon with fourteen months of history, behind a
// server; everybody has the password of the tests.
func demoSalon(t *testing.T) *salon {
	t.Helper()
	ctx := context.Background()
	now := time.Date(2026, time.May, 20, 10, 0, 0, 0, time.UTC)
	st, logins, err := demo.Build(ctx, t.TempDir(), 1, now, func(string) (string, error) { return quickPassword(), nil })
	require.NoError(t, err)
	t.Cleanup(func() { st.Close() })
	s := &salon{T: t, store: st, keys: map[string]string{}}
	for _, l := range logins {
		p, _, err := st.Credentials(ctx, l.Login)
		require.NoError(t, err)
		s.keys[l.Login] = p.Key
	}
	srv, err := New(Options{Store: st, Now: func() time.Time { return now }, Hosts: LocalHosts("127.0.0.1:0"), Demo: []web.DemoLogin{{Name: "Hesper"}}})
	require.NoError(t, err)
	s.http = httptest.NewServer(srv)
	t.Cleanup(s.http.Close)
	return s
}

// The pages made for paper, of a salon with a long history, on both sizes of
// paper: how many pages, which way round, and what stands on each.
func TestPaperOfALivingSalon(t *testing.T) {
	s := demoSalon(t)
	b := tab{s, browser(t)}
	b.signIn("hesper")
	hesper := s.signedIn("hesper")
	foot := "printed by Hesper Langwith"
	longest := s.longestCertificate(hesper)
	for name, size := range papers {
		b.open("/wall")
		p := b.print(size)
		require.Len(t, p.pages, 1, "%s: six apprentices on one sheet", name)
		assert.True(t, p.wide, name)
		for _, says := range []string{"Who may do what today", "Wednesday 20 May 2026", "Otterby Lane Grooming", "Valid for today only", "On hold", "P5 Works alone",
			"supports, and does not replace, licensed practice", foot, "fingerprint "} {
			assert.Contains(t, p.pages[0], says, name)
		}
		for _, u := range curriculum.Default().Units {
			assert.Contains(t, p.pages[0], u.Title, name)
		}
		assert.NotContains(t, p.pages[0], "Skills matrix", "%s: no navigation on paper", name)

		for _, since := range []string{"", "?since=2025-03-01"} {
			b.open("/apprentices/" + s.keys["tamsin"] + "/review" + since)
			p = b.print(size)
			assert.LessOrEqual(t, len(p.pages), 2, "%s %s", name, since)
			assert.False(t, p.wide)
			for i, page := range p.pages {
				assert.Contains(t, page, foot, "%s %s: page %d", name, since, i+1)
				assert.Contains(t, page, fmt.Sprintf("Page %d of %d", i+1, len(p.pages)))
			}
			whole := strings.Join(p.pages, "\n")
			for _, says := range []string{"Progress review: Tamsin Orchardine", "Pace of sign-offs", "Agreed actions", "The training provider", "Signature"} {
				assert.Contains(t, whole, says, name)
			}
			for _, never := range []string{"Print this page", "Show that time", "Skills matrix"} {
				assert.NotContains(t, whole, never, name)
			}
		}

		b.open(longest + "/certificate")
		p = b.print(size)
		require.Len(t, p.pages, 1, "%s: the longest certificate, %s", name, longest)
		for _, says := range []string{"Certificate of sign-off", "Take care", "exactly 4.93 %", "It lapses when", "asks for a login", "works on that computer only", foot, "Page 1 of 1"} {
			assert.Contains(t, strings.Join(strings.Fields(p.pages[0]), " "), says, name)
		}
		assert.Equal(t, []string{s.http.URL + longest}, b.codes(p), "the code on the printed page, read by another program")
	}
}

// longestCertificate is the address of the sign-off by points whose certificate
// has the most to say.
func (s *salon) longestCertificate(r *reader) (at string) {
	list, err := s.store.SignOffs(context.Background(), r.scope())
	require.NoError(s, err)
	most := 0
	for _, so := range list {
		if so.Decision != assessment.Confirmed || curriculum.Default().Skill(so.Skill).Points == "" {
			continue
		}
		_, page := r.get("/signoffs/" + so.Key + "/certificate")
		if words := len(strings.Fields(main(page))); strings.Contains(page, "Certificate of sign-off") && words > most {
			most, at = words, "/signoffs/"+so.Key
		}
	}
	require.NotZero(s, most)
	return at
}

// fullWall is the worst that one sheet has to hold: the longest names there are
// room for, every skill of the programme that ships, and two holds for everybody.
func fullWall(people int) web.Wall {
	prog := curriculum.Default()
	w := web.Wall{Date: "Wednesday 30 September 2026", Programme: "Pet groomer, salon core, version 12", Cautions: wallCautions,
		Shell: web.Shell{Title: "Sheet for the wall", Salon: "The Salon at the Old Alder Mill", Person: "Aleksandra Konstantinopolska", Now: "30 September 2026, 18:00 (BST)", Sheet: "9f31c2aa70",
			DemoNote: "An invented salon: every person, dog and groom here is made up. Nothing is kept when it stops."}}
	for _, p := range prog.Permissions {
		w.Levels = append(w.Levels, web.WallLevel{Level: p.Level, Name: p.Name})
	}
	for i := range people {
		w.Columns = append(w.Columns, web.WallColumn{Name: fmt.Sprintf("Wilhelmina%d Featherstonehaugh-Okonkwo", i+1), URL: "/apprentices/a", Held: []string{"every skill of Owners, welfare, records and emergencies", "every safety-critical skill"}})
	}
	for i := range prog.Units {
		u := web.WallUnit{Title: prog.Units[i].Title}
		for j := range prog.Units[i].Skills {
			row := web.WallRow{Title: prog.Units[i].Skills[j].Title, Safety: true}
			for c := range people {
				row.Cells = append(row.Cells, web.WallCell{Level: 1 + c%5, OnHold: c%2 == 0})
			}
			u.Rows = append(u.Rows, row)
		}
		w.Units = append(w.Units, u)
	}
	return w
}

// The sheet for the wall at its fullest fits one page (in Arial or a typeface of its
// width, which fonts-liberation has), and each further page has
// the heading, the names of all skills, its own apprentices and the foot.
func TestFullWallOnPaper(t *testing.T) {
	var page web.Wall
	served := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if a, ok := web.LookupAsset(r.URL.Path); ok {
			write(w, http.StatusOK, a.ContentType, a.Data)
			return
		}
		var out bytes.Buffer
		assert.NoError(t, web.Render(&out, page))
		write(w, http.StatusOK, "text/html; charset=utf-8", out.Bytes())
	}))
	defer served.Close()
	b := tab{&salon{T: t, http: served}, browser(t)}
	for people, want := range map[int]int{6: 1, 7: 2, 25: 5} {
		page = fullWall(people)
		b.open("/")
		for name, size := range papers {
			p := b.print(size)
			if !assert.Len(t, p.pages, want, "%s: %d apprentices", name, people) {
				continue
			}
			for n, text := range p.pages {
				sheet := page.Sheets()[n]
				words := strings.Join(strings.Fields(text), " ")
				says := []string{"Who may do what today", "Valid for today only", "Clip ears", "Round a foot", "Set the water", "printed by Aleksandra Konstantinopolska", "fingerprint 9f31c2aa70"}
				for _, c := range sheet.Columns {
					first, _, _ := strings.Cut(c.Name, " ")
					says = append(says, first)
				}
				for _, say := range says {
					assert.Contains(t, words, say, "%s: sheet %d of %d apprentices", name, n+1, people)
				}
				if n > 0 {
					before, _, _ := strings.Cut(page.Sheets()[n-1].Columns[0].Name, " ")
					assert.False(t, slices.Contains(strings.Fields(words), before), "%s: %s stands on the sheet before", name, before)
				}
			}
		}
	}
}

// The button that prints is there with script, and the words without.
func TestPrintHint(t *testing.T) {
	s := newSalon(t)
	b := tab{s, browser(t)}
	b.signIn("rowan")
	b.open("/wall")
	b.wait(`document.querySelector(".print-hint button")`)
	act(t, b.ctx, chromedp.Evaluate[bool](`(window.printed = 0, window.print = () => window.printed++, true)`))
	b.press(".print-hint button")
	assert.Equal(t, 1, act(t, b.ctx, chromedp.Evaluate[int](`window.printed`)))
	_, page := s.signedIn("rowan").get("/wall")
	assert.Contains(t, page, "Print this page for the wall")
	assert.NotContains(t, main(page), "<button", "what does nothing without script is not in the page")
}
