package server

import (
	"context"
	"errors"
	"mime"
	"net"
	"net/http"
	"runtime/debug"
	"slices"
	"strings"

	"tablehand/server/web"
)

const (
	sessionCookie = "tablehand"
	maxBody       = 1 << 20 // bytes of a form
)

// policyHeader lets a page load only what this program serves itself.
const policyHeader = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; " +
	"form-action 'self'; base-uri 'none'; object-src 'none'; frame-ancestors 'none'"

func (s *Server) headers(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policyHeader)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("X-Frame-Options", "DENY")
		// Not no-referrer: a form on such a page posts with Origin "null".
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=()")
		h.Set("Cache-Control", "no-store")
		next.ServeHTTP(w, r)
	})
}

// recover turns a panic into the page for a fault. http.ErrAbortHandler keeps
// its meaning.
func (s *Server) recover(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		defer func() {
			v := recover()
			if v == nil {
				return
			}
			if v == http.ErrAbortHandler {
				panic(v)
			}
			s.Log.Error("panic", "method", r.Method, "path", r.URL.Path, "panic", v, "stack", string(debug.Stack()))
			s.writeBroken(w)
		}()
		next.ServeHTTP(w, r)
	})
}

// assets answers for the stylesheet, scripts and pictures, which are the same
// for everybody: no session is looked up for them.
func assets(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		a, ok := web.LookupAsset(r.URL.Path)
		if !ok || r.Method != http.MethodGet && r.Method != http.MethodHead {
			next.ServeHTTP(w, r)
			return
		}
		w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		write(w, http.StatusOK, a.ContentType, a.Data)
	})
}

// knownHost refuses names this server was not told it has: a page elsewhere
// could point a name of its own here.
func (s *Server) knownHost(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		host := r.Host
		if h, _, err := net.SplitHostPort(host); err == nil {
			host = h
		}
		host = strings.ToLower(strings.Trim(host, "[]"))
		if !slices.Contains(s.Hosts, host) {
			s.plain(w, http.StatusMisdirectedRequest, "Tablehand does not know itself under this name. Start it with --host and the name, or use its address.")
			return
		}
		next.ServeHTTP(w, r)
	})
}

// needsOrigin refuses a change that carries a session or a device but does not say where
// it comes from. Every browser in use says so on a POST.
func (s *Server) needsOrigin(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		safe := r.Method == http.MethodGet || r.Method == http.MethodHead || r.Method == http.MethodOptions
		if !safe && r.Header.Get("Origin") == "" && r.Header.Get("Sec-Fetch-Site") == "" {
			for _, name := range []string{sessionCookie, deviceCookie} {
				if _, err := r.Cookie(name); err == nil {
					s.refuseForeign(w, r)
					return
				}
			}
		}
		next.ServeHTTP(w, r)
	})
}

func (s *Server) refuseForeign(w http.ResponseWriter, r *http.Request) {
	s.Log.Warn("refused a change from elsewhere", "path", r.URL.Path, "origin", r.Header.Get("Origin"))
	s.page(w, http.StatusForbidden, web.Forbidden(web.Shell{}, "This was sent from another site, so nothing was changed. Open Tablehand itself and try again there."))
}

// limitBody bounds what is read of a request. Photos are larger than a form, and
// are read only from somebody who may send them; nothing at all is read of
// others.
func (s *Server) limitBody(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		switch {
		case !isUpload(r):
			r.Body = http.MaxBytesReader(w, r.Body, maxBody)
		case s.mayUpload(r):
			r.Body = http.MaxBytesReader(w, r.Body, maxUpload)
		default:
			r = r.WithContext(r.Context()) // a copy: the server must still know that a body was announced
			r.Body = http.NoBody
		}
		next.ServeHTTP(w, r)
	})
}

// badForm is a form that cannot be read.
type badForm struct{ error }

func (b badForm) Unwrap() error { return b.error }

type formProblem struct{}

// readForm reads the whole form before anything is looked up for it. A session
// that is ended while a form is on its way is then ended for that form too.
func readForm(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.Method == http.MethodPost {
			if err := parseForm(r); err != nil {
				r = r.WithContext(context.WithValue(r.Context(), formProblem{}, err))
			}
		}
		next.ServeHTTP(w, r)
	})
}

func parseForm(r *http.Request) error {
	var tooBig *http.MaxBytesError
	kind, _, err := mime.ParseMediaType(r.Header.Get("Content-Type"))
	sent := r.Body != http.NoBody && r.ContentLength != 0
	files := sent && kind == "multipart/form-data" && isUpload(r)
	if sent && !files && (err != nil || kind != "application/x-www-form-urlencoded") {
		return badForm{errors.Join(errors.New("not a form"), err)}
	}
	if files {
		err = r.ParseMultipartForm(maxUpload) // as much as there can be, so that nothing is put on the disk
	} else {
		err = r.ParseForm()
	}
	if err == nil || errors.As(err, &tooBig) {
		return err
	}
	return badForm{err}
}

// LocalHosts are the names under which a server on this address is reached:
// the loopback names for a loopback address; the machine's own addresses too
// when it listens on all of them.
func LocalHosts(addr string, more ...string) []string {
	hosts := []string{"127.0.0.1", "localhost", "::1"}
	host, _, err := net.SplitHostPort(addr)
	if err == nil && host != "" {
		hosts = append(hosts, strings.ToLower(host))
	}
	if ip := net.ParseIP(host); host == "" || ip != nil && ip.IsUnspecified() {
		if addrs, err := net.InterfaceAddrs(); err == nil {
			for _, a := range addrs {
				if n, ok := a.(*net.IPNet); ok {
					hosts = append(hosts, n.IP.String())
				}
			}
		}
	}
	for _, h := range more {
		hosts = append(hosts, strings.ToLower(h))
	}
	return hosts
}
