package server

import (
	"bytes"
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"github.com/gin-gonic/gin"

	"tablehand/server/store"
	"tablehand/server/web"
)

// request is one request on its way through a handler.
type request struct {
	*gin.Context
	srv *Server
	visitor
	author string // key of the person whose page a form stood in; may be empty
}

// handler answers a request, or says why it cannot.
type handler func(*request) error

// errSignIn asks for a sign-in first.
var errSignIn = errors.New("sign in first")

// statusOf is the one table from a kind of failure to an HTTP status.
func statusOf(err error) int {
	var tooBig *http.MaxBytesError
	var bad badForm
	var refusal *store.Refusal
	switch {
	case errors.Is(err, errSignIn), errors.As(err, new(asked)):
		return http.StatusUnauthorized
	case errors.Is(err, store.ErrNotFound):
		return http.StatusNotFound
	case errors.Is(err, store.ErrDenied), errors.Is(err, errStale):
		return http.StatusForbidden
	case errors.Is(err, store.ErrConflict):
		return http.StatusConflict
	case errors.As(err, &tooBig):
		return http.StatusRequestEntityTooLarge
	case errors.As(err, &bad):
		return http.StatusBadRequest
	case errors.As(err, &refusal), errors.Is(err, store.ErrExists):
		return http.StatusUnprocessableEntity
	}
	return http.StatusInternalServerError
}

// adapt makes a handler into what the router calls.
func (s *Server) adapt(p policy, h handler) gin.HandlerFunc {
	return func(c *gin.Context) {
		r := &request{Context: c, srv: s}
		err := r.admit(p)
		if err == nil {
			err = h(r)
		}
		if err != nil {
			r.fail(err)
		}
	}
}

// fail answers a failed request. The reader sees what to do next, never the
// failure's own text.
func (r *request) fail(err error) {
	var proof asked
	if errors.As(err, &proof) {
		r.askToProve(proof)
		return
	}
	shell := r.shell("", "")
	var refusal *store.Refusal
	switch status := statusOf(err); status {
	case http.StatusUnauthorized:
		r.askToSignIn()
	case http.StatusNotFound:
		r.srv.page(r.Writer, status, web.NotFound(shell))
	case http.StatusForbidden:
		if errors.Is(err, errStale) {
			r.srv.page(r.Writer, status, web.Stale(shell))
			return
		}
		r.srv.page(r.Writer, status, web.Forbidden(shell, ""))
	case http.StatusConflict:
		r.srv.page(r.Writer, status, web.Conflict(shell, nil, web.Link{Label: "Look at it as it stands now", URL: r.Request.URL.Path}))
	case http.StatusRequestEntityTooLarge:
		page := web.TooLarge(shell, "1 megabyte", web.Link{})
		if isUpload(r.Request) {
			page = web.PhotoTooLarge(shell, web.Link{Label: "Back to the photos", URL: r.Request.URL.Path})
		}
		r.srv.page(r.Writer, status, page)
	case http.StatusBadRequest:
		r.srv.Log.Info("a form could not be read", "path", r.Request.URL.Path, "error", err)
		r.srv.page(r.Writer, status, web.Unreadable(shell))
	case http.StatusUnprocessableEntity:
		why := ""
		if errors.As(err, &refusal) {
			why = strings.Join(refusal.Reasons, " ")
		}
		r.srv.page(r.Writer, status, web.Unprocessable(shell, why, web.Link{}))
	default:
		r.srv.fault(r.Writer, r.Request, err)
	}
}

// fault logs a failure with a reference and shows the page for it. That a
// client did not wait for the answer is none, and nobody reads it.
func (s *Server) fault(w http.ResponseWriter, r *http.Request, err error) {
	if r.Context().Err() != nil {
		s.Log.Info("a client broke off", "path", r.URL.Path)
		w.WriteHeader(http.StatusBadRequest)
		return
	}
	ref := strings.ToLower(rand.Text()[:8])
	s.Log.Error("request failed", "method", r.Method, "path", r.URL.Path, "reference", ref, "error", err)
	var b bytes.Buffer
	if web.Render(&b, web.Broken(web.Shell{}, ref)) != nil {
		s.writeBroken(w)
		return
	}
	write(w, http.StatusInternalServerError, "text/html; charset=utf-8", b.Bytes())
}

func (s *Server) writeBroken(w http.ResponseWriter) {
	write(w, http.StatusInternalServerError, "text/html; charset=utf-8", s.broken)
}

// page renders a whole page before a byte of it is sent.
func (s *Server) page(w http.ResponseWriter, status int, page any) {
	var b bytes.Buffer
	if err := web.Render(&b, page); err != nil {
		s.Log.Error("page not rendered", "page", fmt.Sprintf("%T", page), "error", err)
		s.writeBroken(w)
		return
	}
	write(w, status, "text/html; charset=utf-8", b.Bytes())
}

func (s *Server) plain(w http.ResponseWriter, status int, text string) {
	write(w, status, "text/plain; charset=utf-8", []byte(text+"\n"))
}

func write(w http.ResponseWriter, status int, contentType string, body []byte) {
	w.Header().Set("Content-Type", contentType)
	w.Header().Set("Content-Length", strconv.Itoa(len(body)))
	w.WriteHeader(status)
	w.Write(body)
}

// show answers with a page; a form with problems answers 422.
func (r *request) show(page any, shell web.Shell) error {
	status := http.StatusOK
	if len(shell.Problems) > 0 {
		status = http.StatusUnprocessableEntity
	}
	r.srv.page(r.Writer, status, page)
	return nil
}

// goTo answers a done change: the browser fetches the next page, so that going
// back never sends the form again. what is shown there once.
func (r *request) goTo(path, what string) error {
	if what != "" {
		r.srv.sessions.Put(r.Request.Context(), "notice", what)
	}
	r.Redirect(http.StatusSeeOther, path)
	return nil
}

// refusedBeside puts a refusal of the store beside a control, so that the form
// comes back with what was typed. It reports whether there was one.
func (r *request) refusedBeside(shell *web.Shell, control web.Control, err error) bool {
	var refusal *store.Refusal
	if !errors.As(err, &refusal) {
		return false
	}
	shell.Fail(control, strings.Join(refusal.Reasons, " "))
	return true
}

// unsent repeats a text whose form is not shown again.
func unsent(text string) string {
	if text == "" {
		return ""
	}
	return " You had written: “" + text + "”"
}

// form says what was wrong with the posted form. A body over the limit is an
// error, never an empty form.
func (r *request) form() error {
	err, _ := r.Request.Context().Value(formProblem{}).(error)
	return err
}

// value is one posted value, trimmed at both ends.
func (r *request) value(name string) string { return strings.TrimSpace(r.Request.PostFormValue(name)) }

func newClientID() string { return strings.ToLower(rand.Text()) }
