package web

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"tablehand/server/chromium"
)

// The drawing as it stands in the page is painted, eight pixels to a module, and
// read by a program that knows nothing of how it was made.
func TestQRIsReadByAnotherProgram(t *testing.T) {
	reader, err := exec.LookPath("zbarimg")
	if err != nil {
		chromium.Missing(t, "This test reads QR codes with another program: install zbar-tools (zbarimg) to run it.")
	}
	for _, text := range []string{
		"http://127.0.0.1:8420/signoffs/4ubgk2mw7h5zqd3x6rj1yatce8",
		"https://salon.example/signoffs/a",
		"HTTP://SALON/1",
		"1234567890",
		"https://salon.example/" + strings.Repeat("long/", 100),
	} {
		drawn, err := QR(text)
		if err != nil {
			t.Fatal(err)
		}
		checkBalanced(t, string(drawn))
		file := filepath.Join(t.TempDir(), "code.png")
		paint(t, string(drawn), file)
		out, err := exec.Command(reader, "--quiet", "--raw", "-Sdisable", "-Sqrcode.enable", file).Output()
		if got := strings.TrimSuffix(string(out), "\n"); err != nil || got != text {
			t.Errorf("%q is read as %q (%v)", text, got, err)
		}
	}
}

func TestQRRefusesWhatDoesNotFit(t *testing.T) {
	for _, text := range []string{"", strings.Repeat("é", 2331)} {
		if drawn, err := QR(text); err == nil || drawn != "" {
			t.Errorf("%d bytes are drawn", len(text))
		}
	}
	if _, err := QR(strings.Repeat("é", 1165)); err != nil { // 2,330 bytes
		t.Error(err)
	}
}

var (
	qrSide = regexp.MustCompile(`viewBox="0 0 (\d+) (\d+)"`)
	qrPath = regexp.MustCompile(` d="((?:M\d+ \d+h\d+v1h-\d+z)+)"`)
	qrRun  = regexp.MustCompile(`M(\d+) (\d+)h(\d+)v1h-(\d+)z`)
)

// paint makes a picture of the drawing and holds it to the quiet margin.
func paint(t *testing.T, drawn, file string) {
	t.Helper()
	number := func(s string) int { n, _ := strconv.Atoi(s); return n }
	const scale = 8
	m, path := qrSide.FindStringSubmatch(drawn), qrPath.FindStringSubmatch(drawn)
	if m == nil || m[1] != m[2] || path == nil {
		t.Fatalf("no square of runs: %.200s", drawn)
	}
	side := number(m[1])
	img := image.NewGray(image.Rect(0, 0, side*scale, side*scale))
	draw.Draw(img, img.Bounds(), image.White, image.Point{}, draw.Src)
	for _, r := range qrRun.FindAllStringSubmatch(path[1], -1) {
		x, y, long := number(r[1]), number(r[2]), number(r[3])
		if x < 4 || y < 4 || x+long > side-4 || y >= side-4 || r[3] != r[4] {
			t.Errorf("a run of %d at %d, %d of %d", long, x, y, side)
		}
		draw.Draw(img, image.Rect(x*scale, y*scale, (x+long)*scale, (y+1)*scale), image.NewUniform(color.Black), image.Point{}, draw.Src)
	}
	f, err := os.Create(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := png.Encode(f, img); err != nil {
		t.Fatal(err)
	}
}
