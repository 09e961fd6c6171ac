package server

import (
	"context"
	"errors"
	"net/http"
	"strconv"
	"time"

	"tablehand/server/store"
	"tablehand/server/web"
)

const (
	deviceCookie = "tablehand_device"
	deviceLife   = 400 * 24 * time.Hour // of the cookie, each time it is sent; browsers keep none longer
	idleLimit    = 5 * time.Minute      // without a request, on a shared tablet (common practice, no source)
)

// deviceOf is the enrolled tablet that a request comes from, or nil.
func (s *Server) deviceOf(r *http.Request) (*store.Device, error) {
	cookie, err := r.Cookie(deviceCookie)
	if err != nil {
		return nil, nil
	}
	d, err := s.Store.DeviceOf(r.Context(), cookie.Value)
	if errors.Is(err, store.ErrNotFound) {
		return nil, nil
	}
	return &d, err
}

// noteDevice keeps when a tablet and whoever is signed in on it were last there.
// A token that is worth nothing any more is taken back.
func (r *request) noteDevice() error {
	ctx := r.Request.Context()
	cookie, err := r.Request.Cookie(deviceCookie)
	if err != nil {
		return nil
	}
	if r.device == nil {
		r.setDeviceCookie("", -1)
		return nil
	}
	if _, away := r.srv.presence(ctx, r.device); r.prog != nil && away >= r.srv.idle/10 {
		r.bindToDevice(r.device.Key)
	}
	noted, err := r.srv.Store.See(ctx, *r.device)
	if noted {
		r.setDeviceCookie(cookie.Value, int(deviceLife.Seconds()))
	}
	return err
}

func (r *request) setDeviceCookie(token string, seconds int) {
	http.SetCookie(r.Writer, &http.Cookie{Name: deviceCookie, Value: token, Path: "/", MaxAge: seconds,
		HttpOnly: true, SameSite: http.SameSiteLaxMode, Secure: r.Request.TLS != nil})
}

// bindToDevice makes the session one of the shared tablet: it ends with the
// tablet, and is locked when nobody touches it.
func (r *request) bindToDevice(device string) {
	ctx := r.Request.Context()
	r.srv.sessions.Put(ctx, "device", device)
	r.srv.sessions.Put(ctx, "seen", strconv.FormatInt(r.srv.Now().Unix(), 10))
}

// presence says whether a session holds on the machine that a request comes
// from: one begun on a shared tablet holds only there. away is how long nobody
// has been there; nought on a machine of one's own.
func (s *Server) presence(ctx context.Context, on *store.Device) (here bool, away time.Duration) {
	device := s.sessions.GetString(ctx, "device")
	if device == "" {
		return true, 0
	}
	if on == nil || on.Key != device {
		return false, 0
	}
	seen, _ := strconv.ParseInt(s.sessions.GetString(ctx, "seen"), 10, 64)
	return true, s.Now().Sub(time.Unix(seen, 0))
}

func (r *request) devicesPage() (web.Devices, error) {
	page := web.NewDevices()
	page.Shell, page.Insecure, page.ClientID = r.shell(page.Title, "/people"), r.insecure(), newClientID()
	page.Back = web.Link{Label: "People", URL: "/people"}
	list, err := r.srv.Store.Devices(r.Request.Context(), r.scope)
	for _, d := range list {
		line := web.DeviceLine{Name: d.Name, About: "enrolled by " + d.EnrolledBy + ", " + r.at(d.Enrolled)}
		if !d.Revoked.IsZero() {
			line.About += "; revoked " + r.at(d.Revoked)
			page.Revoked = append(page.Revoked, line)
			continue
		}
		line.About += "; last seen " + r.at(d.Seen)
		line.Revoke = "/devices/" + d.Key + "/revoke"
		if r.device != nil && r.device.Key == d.Key {
			line.Here, page.Here = true, d.Name
		}
		page.Devices = append(page.Devices, line)
	}
	return page, err
}

func devices(r *request) error {
	page, err := r.devicesPage()
	if err != nil {
		return err
	}
	return r.show(page, page.Shell)
}

// enrol makes the tablet in hand one that several people share.
func enrol(r *request) error {
	page, err := r.devicesPage()
	if err != nil {
		return err
	}
	page.Name.Value = r.value("name")
	if page.Here != "" {
		return r.goTo("/devices", "This tablet is enrolled already, as “"+page.Here+"”. To give it another name, revoke it first.")
	}
	r.checkLine(&page.Shell, &page.Name, "Give the tablet a name.")
	if err := r.checkSigner(&page.Shell, &page.Password); err != nil {
		return err
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	key, token, err := r.srv.Store.Enrol(r.Request.Context(), r.scope, page.Name.Value, r.value("client_id"))
	if err != nil {
		return err
	}
	r.setDeviceCookie(token, int(deviceLife.Seconds()))
	r.bindToDevice(key)
	return r.goTo("/devices", "This tablet is enrolled. Whoever has chosen a PIN under Account can sign in with it here.")
}

// revoke shuts a tablet out. Whoever does it on that very tablet goes on there,
// as on any other machine.
func revoke(r *request) error {
	ctx := r.Request.Context()
	if err := r.srv.Store.Revoke(ctx, r.scope, r.Param("device")); err != nil {
		return err
	}
	if r.session("device") == r.Param("device") {
		r.srv.sessions.Remove(ctx, "device")
	}
	return r.goTo("/devices", "The tablet is revoked, and everybody is signed out on it.")
}
