package server

import (
	"errors"
	"fmt"
	"io"
	"mime/multipart"
	"net/http"
	"strings"

	"tablehand/assessment"
	"tablehand/server/photo"
	"tablehand/server/store"
	"tablehand/server/web"
)

// maxUpload is the most bytes that are read of photos sent at once, with the
// rest of their form.
const maxUpload = 12<<20 + 64<<10

// The addresses that photos are sent to: the only ones that take files.
const (
	draftPhotos  = "/grooms/drafts/:draft/photos"
	signedPhotos = "/grooms/signed/:groom/photos"
)

func isUpload(r *http.Request) bool {
	path := strings.Split(r.URL.Path, "/")
	return r.Method == http.MethodPost && (fits(strings.Split(draftPhotos, "/"), path) || fits(strings.Split(signedPhotos, "/"), path))
}

// mayUpload reports whether photos are listened to: whoever may not send any is
// found out before a large body is read.
func (s *Server) mayUpload(r *http.Request) bool {
	cookie, err := r.Cookie(sessionCookie)
	if err != nil {
		return false
	}
	ctx, err := s.sessions.Load(r.Context(), cookie.Value)
	if err != nil {
		return false
	}
	v, err := s.who(ctx, r)
	return err == nil && v.scope.Role.Judges()
}

// photoHome is the draft or the groom whose photos a page is about.
type photoHome struct {
	key, at       string // its key and its address
	dog, who, day string
}

func (h *photoHome) page() string { return h.at + "/photos" }

// photosOf finds the draft or the groom that photos belong to. A draft that was
// signed meanwhile is its groom.
func photosOf(next func(*request, photoHome) error) handler {
	return func(r *request) error {
		ctx := r.Request.Context()
		key := r.Param("groom")
		if draft := r.Param("draft"); draft != "" {
			d, err := r.srv.Store.Draft(ctx, r.scope, draft)
			if err == nil {
				h := photoHome{key: draft, at: "/grooms/drafts/" + draft, dog: orElse(d.Form.Get("dog"), "No label yet")}
				if who, err := r.srv.Store.Apprentice(ctx, r.scope, d.Form.Get("apprentice")); err == nil {
					h.who = who.Name
				}
				return next(r, h)
			}
			if !errors.Is(err, store.ErrNotFound) {
				return err
			}
			key = draft
		}
		g, err := r.srv.Store.Groom(ctx, r.scope, key)
		if err != nil {
			return err
		}
		return next(r, photoHome{key, "/grooms/signed/" + key, g.Groom.Dog, g.Apprentice.Name, g.Groom.Day.Words()})
	}
}

func (r *request) photoPage(h photoHome) (web.Photos, error) {
	page := web.Photos{Shell: r.shell("Photos of "+h.dog, "/grooms"), Apprentice: h.who, Dog: h.dog, Day: h.day}
	page.Back = web.Link{Label: "Back to the groom", URL: h.at}
	list, place, err := r.srv.Store.Photos(r.Request.Context(), r.scope, h.key)
	if err != nil {
		return page, err
	}
	for _, p := range list {
		line := r.photo(h, p)
		switch {
		case p.Withdrawn == nil:
			if place.May() && (place.Signed || p.Groom == h.key) {
				line.TakeDown = web.NewTakeDown(h.page()+"/"+p.Key+"/withdraw", p.Key, place.Signed)
			}
			page.Photos = append(page.Photos, line)
		case p.Withdrawn.Reason != "":
			page.Down = append(page.Down, web.PhotoDown{Kind: line.Kind, Added: line.Added, Fingerprint: line.Fingerprint,
				Down: "Taken down by " + p.Withdrawn.By.Name + ", " + r.at(p.Withdrawn.At), Reason: p.Withdrawn.Reason})
		}
	}
	if !place.May() {
		return page, nil
	}
	if page.Full = place.RefuseAdding(assessment.PhotoOther, false); page.Full == "" {
		page.Form = web.NewPhotoForm()
		page.Form.Action, page.Form.ClientID, page.Form.Most = h.page(), newClientID(), count(assessment.MaxPhotos, "photo")
		for _, k := range assessment.PhotoKinds {
			page.Form.Kinds = append(page.Form.Kinds, web.Choice{Value: string(k), Label: "Save as " + strings.ToLower(k.Words())})
		}
	}
	return page, nil
}

func (r *request) photo(h photoHome, p store.Photo) web.Photo {
	at := h.page() + "/" + p.Key
	return web.Photo{Key: p.Key, Small: at + "/small", Large: at + "/large", Kind: p.Kind.Words(), Alt: p.Kind.Words() + ": " + h.dog,
		Added: "Added by " + p.By.Name + ", " + r.at(p.Added), Fingerprint: fingerprint(p.Digest)}
}

// photoStrip is what other pages show of the photos of a groom or a draft.
func (r *request) photoStrip(h photoHome) (web.PhotoStrip, error) {
	list, place, err := r.srv.Store.Photos(r.Request.Context(), r.scope, h.key)
	strip := web.PhotoStrip{Add: place.May() && !place.Corrected}
	for _, p := range list {
		if p.Withdrawn == nil {
			strip.Photos = append(strip.Photos, r.photo(h, p))
		}
	}
	if len(list) > 0 || strip.Add {
		strip.URL = h.page()
	}
	return strip, err
}

// groomPhotos is the strip on the page of a signed groom. Large, and on paper,
// the photos are only where that was asked for.
func (r *request) groomPhotos(g *store.Groom) (web.PhotoStrip, error) {
	at := "/grooms/signed/" + g.Key
	strip, err := r.photoStrip(photoHome{key: g.Key, at: at, dog: g.Groom.Dog})
	strip.Show = at + "?photos=large#photos"
	if r.Query("photos") == "large" {
		strip.Print, strip.Show = true, at+"#photos"
	}
	return strip, err
}

// photos shows the photos of a draft or a groom.
func photos(r *request, h photoHome) error {
	page, err := r.photoPage(h)
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// addPhotos takes what was sent, one photo after the other. What is wrong with
// one is told beside where it was chosen; the others are kept.
func addPhotos(r *request, h photoHome) error {
	saved, refused := 0, map[string]string{}
	for _, field := range []string{"camera", "file"} {
		for i, file := range r.files(field) {
			err := r.addPhoto(h, file, fmt.Sprintf("%s.%s.%d", r.value("client_id"), field, i))
			var why photo.Refusal
			var refusal *store.Refusal
			switch {
			case errors.As(err, &why):
				refused[field] = string(why)
			case errors.As(err, &refusal):
				refused[field] = strings.Join(refusal.Reasons, " ")
			case err != nil:
				return err
			default:
				saved++
			}
		}
	}
	if saved > 0 && len(refused) == 0 {
		return r.goTo(h.page(), count(saved, "photo")+" saved.")
	}
	page, err := r.photoPage(h)
	if err != nil {
		return err
	}
	switch {
	case page.Form == nil && page.Full == "":
		return store.ErrDenied
	case page.Form == nil:
		page.Fail(nil, page.Full)
	case len(refused) == 0:
		page.Fail(&page.Form.Camera, "Take a photo or choose one first, then say what it shows.")
	default:
		for _, f := range []*web.FileField{&page.Form.Camera, &page.Form.File} {
			if refused[f.Name] != "" {
				page.Fail(f, refused[f.Name])
			}
		}
	}
	return r.show(page, page.Shell)
}

func (r *request) files(field string) []*multipart.FileHeader {
	if r.Request.MultipartForm == nil {
		return nil
	}
	return r.Request.MultipartForm.File[field]
}

func (r *request) addPhoto(h photoHome, file *multipart.FileHeader, clientID string) error {
	ctx := r.Request.Context()
	f, err := file.Open()
	if err != nil {
		return err
	}
	defer f.Close()
	data, err := io.ReadAll(f)
	if err != nil {
		return err
	}
	picture, err := photo.Clean(ctx, data)
	if err != nil {
		return err
	}
	_, err = r.srv.Store.AddPhoto(ctx, r.scope, h.key, store.NewPhoto{Kind: assessment.PhotoKind(r.value("kind")), Large: picture.Large, Small: picture.Small}, clientID)
	return err
}

// withdrawPhoto takes one photo down.
func withdrawPhoto(r *request, h photoHome) error {
	reason := r.value("reason")
	err := r.srv.Store.WithdrawPhoto(r.Request.Context(), r.scope, h.key, r.Param("photo"), reason)
	var refusal *store.Refusal
	if !errors.As(err, &refusal) {
		if err != nil {
			return err
		}
		return r.goTo(h.page(), "The photo is taken down. Backups made before still hold it.")
	}
	page, err := r.photoPage(h)
	if err != nil {
		return err
	}
	for i := range page.Photos {
		if p := &page.Photos[i]; p.Key == r.Param("photo") && p.TakeDown != nil && p.TakeDown.Reason != nil {
			p.TakeDown.Reason.Value = reason
			page.Fail(p.TakeDown.Reason, strings.Join(refusal.Reasons, " "))
		}
	}
	return r.show(page, page.Shell)
}

// picture answers with a photo itself, in one of its two sizes. It is never read
// as anything but a picture, whatever is in it.
func picture(large bool) handler {
	return func(r *request) error {
		data, err := r.srv.Store.PhotoPicture(r.Request.Context(), r.scope, orElse(r.Param("draft"), r.Param("groom")), r.Param("photo"), large)
		if err != nil {
			return err
		}
		r.Header("Content-Security-Policy", "default-src 'none'; frame-ancestors 'none'; sandbox")
		r.Header("Content-Disposition", `inline; filename="photo.jpg"`)
		write(r.Writer, http.StatusOK, "image/jpeg", data)
		return nil
	}
}
