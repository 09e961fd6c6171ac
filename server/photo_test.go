package server

import (
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	"image/jpeg"
	"io"
	"mime/multipart"
	"net"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"tablehand/assessment"
	"tablehand/server/store"
)

// shot is a JPEG as a camera makes it: a size, a shade that tells it from
// others, and a note of where it was taken.
func shot(w, h int, shade uint8) []byte {
	m := image.NewGray(image.Rect(0, 0, w, h))
	for i := range m.Pix {
		m.Pix[i] = shade
	}
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, nil); err != nil {
		panic(err)
	}
	const note = "Exif\x00\x00CANARY 51.5014 N"
	return append(append([]byte{0xff, 0xd8, 0xff, 0xe1, 0, byte(len(note) + 2)}, note...), b.Bytes()[2:]...)
}

// photo puts a photo to a groom behind the pages' back and returns its key.
func (r *reader) photo(groom string) string {
	key, err := r.s.store.AddPhoto(context.Background(), r.scope(), groom, store.NewPhoto{Kind: assessment.PhotoBefore, Large: shot(8, 8, 1), Small: shot(4, 4, 1)}, "")
	require.NoError(r.s, err)
	return key
}

// upload sends files as a form does whose script is off.
func (r *reader) upload(path string, form url.Values, files map[string][]byte) (status int, body, location string) {
	var b bytes.Buffer
	w := multipart.NewWriter(&b)
	for name, values := range form {
		for _, v := range values {
			require.NoError(r.s, w.WriteField(name, v))
		}
	}
	for _, name := range []string{"camera", "file"} {
		file := "" // what a browser sends where nothing was chosen
		if files[name] != nil {
			file = `../../"IMG` + "\u202e" + `_1.jpg`
		}
		part, err := w.CreateFormFile(name, file)
		require.NoError(r.s, err)
		_, err = part.Write(files[name])
		require.NoError(r.s, err)
	}
	require.NoError(r.s, w.Close())
	req, err := http.NewRequest(http.MethodPost, r.s.http.URL+path, &b)
	require.NoError(r.s, err)
	req.Header.Set("Content-Type", w.FormDataContentType())
	req.Header.Set("Origin", r.s.http.URL)
	res, err := r.client.Do(req)
	require.NoError(r.s, err)
	defer res.Body.Close()
	data, err := io.ReadAll(res.Body)
	require.NoError(r.s, err)
	return res.StatusCode, string(data), res.Header.Get("Location")
}

// sendPhotos chooses files on a page of photos and presses one of its buttons.
func (r *reader) sendPhotos(page, kind string, files map[string][]byte) (status int, body, location string) {
	_, form := r.get(page)
	return r.upload(page, with(hidden(form), "kind", kind), files)
}

var pictureAt = regexp.MustCompile(`<img src="([^"]+)"`)

func pictures(body string) (paths []string) {
	for _, m := range pictureAt.FindAllStringSubmatch(body, -1) {
		paths = append(paths, m[1])
	}
	return paths
}

// From the table to the page of the apprentice: photos are taken while marking,
// read back, signed with, seen by those who see the groom, and taken down.
func TestPhotosOfAGroom(t *testing.T) {
	s := newSalon(t)
	rowan, hazel, jory, wren := s.signedIn("rowan"), s.signedIn("hazel"), s.signedIn("jory"), s.signedIn("wren")
	draft, sent := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	status, _, to := rowan.post(draft, with(sent, "action", "photos"))
	require.Equal(t, http.StatusSeeOther, status)
	require.Equal(t, draft+"/photos", to, "what was typed is saved on the way")
	page := to
	_, body := rowan.get(page)
	assert.Contains(t, body, "No photos yet")
	assert.Contains(t, body, "Moss 2 · Jory")
	status, body, to = rowan.sendPhotos(page, "before", map[string][]byte{"camera": shot(2000, 100, 80)})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, page, to)
	status, body, _ = rowan.sendPhotos(page, "after", map[string][]byte{"camera": shot(40, 30, 90), "file": shot(40, 30, 100)})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, body = rowan.get(page)
	assert.Contains(t, body, "2 photos saved.")
	require.Len(t, pictures(body), 3)
	for _, at := range []string{draft, draft + "/read-back"} {
		_, body = rowan.get(at)
		assert.Len(t, pictures(body), 3, at)
	}

	sign := with(hidden(body), "password", testPassword)
	status, body, receipt := rowan.post(draft+"/sign", sign)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, body = rowan.get(receipt)
	list := pictures(body)
	require.Len(t, list, 3)
	assert.Regexp(t, `<section id="photos" class="no-print">`, body, "they stay off the paper")
	_, large := rowan.get(receipt + "?photos=large")
	assert.Contains(t, large, `<section id="photos">`)
	assert.Equal(t, strings.ReplaceAll(strings.Join(list, " "), "/small", "/large"), strings.Join(pictures(large), " "))

	for _, path := range append(list, pictures(large)...) {
		for who, want := range map[*reader]int{rowan: 200, hazel: 200, jory: 200, wren: 404, s.visitor(): 303} {
			got, body := who.get(path)
			assert.Equal(t, want, got, "%s for %s", path, who.login)
			assert.Equal(t, want == 200, strings.HasPrefix(body, "\xff\xd8\xff"), who.login)
			assert.NotContains(t, body, "CANARY")
		}
	}
	_, body = jory.get(receipt)
	assert.Len(t, pictures(body), 3, "before the marks are shown, too")
	_, body = jory.get(receipt + "/photos")
	assert.NotContains(t, body, `type="file"`)
	assert.NotContains(t, body, "Take down")
	status, _ = wren.get(receipt + "/photos")
	assert.Equal(t, http.StatusNotFound, status)

	first := strings.TrimSuffix(list[0], "/small")
	status, body, _ = rowan.post(first+"/withdraw", url.Values{"reason": {"  "}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Say why the photo is taken down")
	assert.Contains(t, body, "<details open>")
	status, body, _ = rowan.post(first+"/withdraw", url.Values{"reason": {strings.Repeat("long ", 500)}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "2,000 characters")
	assert.Contains(t, body, strings.Repeat("long ", 499), "what was typed stays")
	status, _, to = rowan.post(first+"/withdraw", url.Values{"reason": {"A tag can be <read>."}})
	require.Equal(t, http.StatusSeeOther, status)
	_, body = jory.get(to)
	assert.Len(t, pictures(body), 2)
	assert.Contains(t, body, "A tag can be &lt;read&gt;.")
	status, _ = rowan.get(list[0])
	assert.Equal(t, http.StatusNotFound, status)
}

func TestPicturesAreServedAsNothingElse(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	receipt := rowan.mark(s.wholeGroom("jory", "Moss 2"))
	key := rowan.photo(strings.TrimPrefix(receipt, "/grooms/signed/"))
	for _, size := range []string{"small", "large"} {
		req, err := http.NewRequest(http.MethodGet, s.http.URL+receipt+"/photos/"+key+"/"+size, nil)
		require.NoError(t, err)
		req.Header.Set("Accept", "text/html")
		res, err := rowan.client.Do(req)
		require.NoError(t, err)
		res.Body.Close()
		for name, want := range map[string]string{"Content-Type": "image/jpeg", "X-Content-Type-Options": "nosniff", "Cache-Control": "no-store", "Cross-Origin-Resource-Policy": "same-origin",
			"Content-Security-Policy": "default-src 'none'; frame-ancestors 'none'; sandbox", "Content-Disposition": `inline; filename="photo.jpg"`} {
			assert.Equal(t, want, res.Header.Get(name), name)
		}
	}
	status, _ := rowan.get(receipt + "/photos/" + key + "/huge")
	assert.Equal(t, http.StatusNotFound, status)
}

// What is wrong with one photo is told where it was chosen, and the other one
// is kept.
func TestPhotosThatAreNotTaken(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, _ := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	page := draft + "/photos"
	heic := []byte("\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic")
	for name, c := range map[string]struct {
		kind   string
		files  map[string][]byte
		beside string
		says   string
	}{
		"nothing":      {"before", nil, "camera", "Take a photo or choose one first"},
		"HEIC":         {"before", map[string][]byte{"file": heic}, "file", "This is a HEIC picture"},
		"damaged":      {"before", map[string][]byte{"camera": shot(400, 300, 7)[:300]}, "camera", "cannot be read to its end"},
		"a page":       {"before", map[string][]byte{"file": []byte("<html><script>")}, "file", "SVG or HTML"},
		"no such kind": {"during", map[string][]byte{"camera": shot(8, 8, 3)}, "camera", "before, after or other"},
	} {
		status, body, _ := rowan.sendPhotos(page, c.kind, c.files)
		assert.Equal(t, http.StatusUnprocessableEntity, status, name)
		assert.Contains(t, body, "<title>Error: ", name)
		_, told, found := strings.Cut(body, `id="f-`+c.beside+`-error"`)
		require.True(t, found, "%s: %s", name, main(body))
		told, _, _ = strings.Cut(told, "</p>")
		assert.Contains(t, told, c.says, name)
		assert.Empty(t, pictures(body), name)
	}
	status, body, _ := rowan.sendPhotos(page, "before", map[string][]byte{"camera": shot(40, 30, 7), "file": heic})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Len(t, pictures(body), 1, "the good one is kept")

	for i := range 7 {
		status, body, _ = rowan.sendPhotos(page, "other", map[string][]byte{"camera": shot(40, 30, uint8(20+10*i))})
		require.Equal(t, http.StatusSeeOther, status, main(body))
	}
	_, body = rowan.get(page)
	assert.Contains(t, body, "A groom holds 8 photos. Take one down first.")
	assert.NotContains(t, body, `type="file"`)
	status, body, _ = rowan.upload(page, url.Values{"kind": {"other"}}, map[string][]byte{"camera": shot(40, 30, 200)})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Len(t, pictures(body), 8)

	status, _, to := rowan.post(strings.TrimSuffix(pictures(body)[0], "/small")+"/withdraw", nil)
	assert.Equal(t, http.StatusSeeOther, status, "from a draft without a reason")
	_, body = rowan.get(to)
	assert.Len(t, pictures(body), 7)
	assert.NotContains(t, body, "<h2>Taken down</h2>")
}

// A photo sent twice, because the answer was lost on the way, is one photo.
func TestPhotosAreSavedOnce(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, _ := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	page := draft + "/photos"
	_, body := rowan.get(page)
	form := with(hidden(body), "kind", "after")
	files := map[string][]byte{"camera": shot(40, 30, 90), "file": shot(40, 30, 100)}
	for range 3 {
		status, body, to := rowan.upload(page, form, files)
		assert.Equal(t, http.StatusSeeOther, status, main(body))
		assert.Equal(t, page, to)
	}
	_, body = rowan.get(page)
	assert.Len(t, pictures(body), 2)
	status, body, _ := rowan.sendPhotos(page, "before", map[string][]byte{"file": files["camera"]})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "This very photo is here already")
}

// A photo that arrives after the draft was signed goes to the groom.
func TestAPhotoForADraftSignedMeanwhile(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	receipt := rowan.mark(s.wholeGroom("jory", "Moss 2"))
	late := strings.Replace(receipt, "/signed/", "/drafts/", 1) + "/photos"
	status, body, to := rowan.upload(late, url.Values{"kind": {"after"}, "client_id": {"late"}}, map[string][]byte{"camera": shot(40, 30, 90)})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, receipt+"/photos", to)
	_, body = rowan.get(receipt)
	assert.Len(t, pictures(body), 1)
}

// What a request may carry: photos to the pages of photos and nowhere else, from
// those who may send them and from nobody else.
func TestOnlyPhotosAreLarge(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, _ := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	receipt := rowan.mark(s.wholeGroom("jory", "Fern 9"))
	large := bytes.Repeat([]byte("x"), 12<<20)
	status, body, _ := rowan.upload(draft+"/photos", url.Values{"kind": {"before"}}, map[string][]byte{"camera": large})
	assert.Equal(t, http.StatusUnprocessableEntity, status, "twelve megabytes are read")
	assert.Contains(t, body, "no picture we know")
	status, body, _ = rowan.upload(draft+"/photos", url.Values{"kind": {"before"}}, map[string][]byte{"camera": append(large, make([]byte, 64<<10)...)})
	assert.Equal(t, http.StatusRequestEntityTooLarge, status)
	assert.Contains(t, body, "12 megabytes")
	assert.Contains(t, body, `href="`+draft+`/photos"`)
	for _, path := range []string{draft, draft + "/read-back", receipt + "/self", "/people", draft + "/photos/x/withdraw", draft + "/photos/"} {
		status, _, _ = rowan.upload(path, nil, map[string][]byte{"camera": shot(8, 8, 1)})
		assert.Contains(t, []int{http.StatusBadRequest, http.StatusMethodNotAllowed, http.StatusNotFound}, status, path)
	}
	form := url.Values{"reason": {strings.Repeat("x", maxBody)}}
	status, _, _ = rowan.post(draft+"/photos/x/withdraw", form)
	assert.Equal(t, http.StatusRequestEntityTooLarge, status, "the others stay at one megabyte")
	for login, want := range map[string]int{"": 401, "jory": 403, "lark": 403, "hazel": 403} {
		who := s.visitor()
		if login != "" {
			who = s.signedIn(login)
		}
		status, _, _ = who.upload(receipt+"/photos", url.Values{"kind": {"before"}}, map[string][]byte{"camera": shot(8, 8, 50)})
		assert.Equal(t, want, status, "as %q", login)
	}
	status, _, _ = rowan.upload(receipt+"/photos", url.Values{"kind": {strings.Repeat("x", 11<<20)}}, nil)
	assert.Equal(t, http.StatusUnprocessableEntity, status, "words are not photos")
	_, body = rowan.get(receipt)
	assert.Empty(t, pictures(body))
}

// Whoever may not send photos is answered before their body has arrived.
func TestABodyThatIsNotWanted(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	receipt := rowan.mark(s.wholeGroom("jory", "Fern 9"))
	at, err := url.Parse(s.http.URL)
	require.NoError(t, err)
	for who, want := range map[*reader]string{s.visitor(): "401", jory: "403"} {
		conn, err := net.Dial("tcp", at.Host)
		require.NoError(t, err)
		defer conn.Close()
		require.NoError(t, conn.SetDeadline(time.Now().Add(20*time.Second)))
		cookie := ""
		for _, c := range who.client.Jar.Cookies(at) {
			cookie = c.String()
		}
		fmt.Fprintf(conn, "POST %s/photos HTTP/1.1\r\nHost: %s\r\nOrigin: %s\r\nCookie: %s\r\nContent-Type: multipart/form-data; boundary=x\r\nContent-Length: %d\r\n\r\n--x\r\n",
			receipt, at.Host, s.http.URL, cookie, 11<<20)
		answer := make([]byte, 12)
		_, err = io.ReadFull(conn, answer)
		require.NoError(t, err)
		assert.Equal(t, "HTTP/1.1 "+want, string(answer))
	}
}

// The thumbnail of a photo and its size, by way of the page.
func TestPhotosAreMadeSmaller(t *testing.T) {
	s := newSalon(t)
	rowan := s.signedIn("rowan")
	draft, _ := rowan.begin(s.wholeGroom("jory", "Moss 2"))
	status, body, to := rowan.sendPhotos(draft+"/photos", "after", map[string][]byte{"file": shot(3000, 200, 140)})
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, body = rowan.get(to)
	small := pictures(body)[0]
	for path, want := range map[string]image.Point{small: {320, 21}, strings.Replace(small, "/small", "/large", 1): {1600, 107}} {
		_, data := rowan.get(path)
		m, err := jpeg.Decode(strings.NewReader(data))
		require.NoError(t, err)
		assert.Equal(t, want, m.Bounds().Size())
		assert.InDelta(t, 140, color.GrayModel.Convert(m.At(10, 10)).(color.Gray).Y, 3, fmt.Sprint(path))
	}
}

// Photos are in a copy of the record only where they were chosen, for one
// apprentice, small, and by way of what the reader may see.
func TestPhotosInTheWorkbook(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	first := rowan.mark(s.wholeGroom("jory", "Moss 2"))
	rowan.sendPhotos(first+"/photos", "before", map[string][]byte{"camera": shot(640, 480, 90), "file": shot(640, 480, 120)})
	_, page := rowan.get(first)
	rowan.post(strings.TrimSuffix(pictures(page)[0], "/small")+"/withdraw", url.Values{"reason": {"CANARY tag."}})
	theirs := rowan.mark(s.wholeGroom("wren", "Fern 9"))
	rowan.sendPhotos(theirs+"/photos", "after", map[string][]byte{"camera": shot(640, 480, 150)})

	status, body, _ := rowan.post("/export/workbook", url.Values{"scope": {"salon"}, "photos": {"yes"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Photos go only into the copy of one apprentice")
	sheets := func(r *reader, form url.Values) (*excelize.File, []string) {
		status, body, _ := r.post("/export/workbook", form)
		require.Equal(t, http.StatusOK, status, main(body))
		f, err := excelize.OpenReader(strings.NewReader(body))
		require.NoError(t, err)
		t.Cleanup(func() { f.Close() })
		return f, f.GetSheetList()
	}
	_, list := sheets(rowan, url.Values{"scope": {s.keys["jory"]}})
	assert.NotContains(t, list, "Photos")
	for _, who := range []*reader{rowan, jory} {
		f, list := sheets(who, url.Values{"scope": {s.keys["jory"]}, "photos": {"yes"}})
		require.Contains(t, list, "Photos")
		rows, err := f.GetRows("Photos")
		require.NoError(t, err)
		assert.NotContains(t, fmt.Sprint(rows), "CANARY", "why it was taken down stays in the salon")
		require.Len(t, rows, 3, "one that is shown, one that was taken down, none of anybody else's")
		n := 0
		for i := range rows {
			found, err := f.GetPictures("Photos", fmt.Sprint("H", i+1))
			require.NoError(t, err)
			for _, p := range found {
				m, err := jpeg.Decode(bytes.NewReader(p.File))
				require.NoError(t, err)
				assert.Equal(t, image.Pt(320, 240), m.Bounds().Size())
				n++
			}
		}
		assert.Equal(t, 1, n)
	}
	status, _, _ = jory.post("/export/workbook", url.Values{"scope": {s.keys["wren"]}, "photos": {"yes"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
}
