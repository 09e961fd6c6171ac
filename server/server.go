package server

import (
	"bytes"
	"fmt"
	"log/slog"
	"net/http"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/gin-gonic/gin"
	"github.com/klauspost/compress/gzhttp"

	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// Options are what a server needs from outside.
type Options struct {
	Store     *store.Store
	Now       func() time.Time      // the clock; time.Now when nil
	Log       *slog.Logger          // discarded when nil
	Hosts     []string              // names and addresses it may be reached under, without port
	Programme *curriculum.Programme // for a new salon; the built-in one when nil
	SetUpCode string                // opens the first set-up; empty closes it
	Demo      []web.DemoLogin       // logins shown on the sign-in page of an invented salon
}

// Server answers the pages of one salon.
type Server struct {
	Options
	engine   *gin.Engine
	handler  http.Handler
	sessions *scs.SessionManager
	broken   []byte // the page for a fault, made at start-up
	tries    tries
	pages    [][]string // the addresses of the pages, in parts
	isNew    sync.Mutex
	founded  bool
	idle     time.Duration // after which a shared tablet locks itself
}

// New makes a server. It fails when a route has no policy.
func New(o Options) (*Server, error) {
	if o.Now == nil {
		o.Now = time.Now
	}
	if o.Log == nil {
		o.Log = slog.New(slog.DiscardHandler)
	}
	if o.Programme == nil {
		o.Programme = curriculum.Default()
	}
	s := &Server{Options: o, sessions: scs.New(), tries: tries{now: o.Now}, idle: idleLimit}
	s.sessions.Store = o.Store.Sessions()
	s.sessions.Codec = sessionCodec{}
	s.sessions.Lifetime = 12 * time.Hour
	s.sessions.Cookie.Name = sessionCookie
	s.sessions.Cookie.HttpOnly = true
	s.sessions.Cookie.SameSite = http.SameSiteLaxMode
	s.sessions.Cookie.Path = "/"
	s.sessions.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) {
		s.fault(w, r, fmt.Errorf("session: %w", err))
	}

	var page bytes.Buffer
	if err := web.Render(&page, web.Broken(web.Shell{}, "")); err != nil {
		return nil, err
	}
	s.broken = page.Bytes()

	gin.SetMode(gin.ReleaseMode)
	s.engine = gin.New()
	s.engine.HandleMethodNotAllowed = true
	s.engine.RedirectTrailingSlash = false
	if err := s.engine.SetTrustedProxies(nil); err != nil {
		return nil, err
	}
	if err := s.addRoutes(routes); err != nil {
		return nil, err
	}
	zip, err := gzhttp.NewWrapper(gzhttp.MinSize(1024), gzhttp.CompressionLevel(1))
	if err != nil {
		return nil, err
	}
	crossOrigin := http.NewCrossOriginProtection()
	crossOrigin.SetDenyHandler(http.HandlerFunc(s.refuseForeign))
	s.handler = s.headers(s.recover(s.knownHost(s.needsOrigin(crossOrigin.Handler(s.limitBody(readForm(zip(assets(s.sessions.LoadAndSave(s.engine))))))))))
	return s, nil
}

// ServeHTTP answers one request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// HTTP wraps the server with the time-outs a public listener needs.
func (s *Server) HTTP() *http.Server {
	return &http.Server{Handler: s, ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 5 * time.Minute,
		IdleTimeout: 30 * time.Second, MaxHeaderBytes: 32 << 10, ErrorLog: slog.NewLogLogger(s.Log.Handler(), slog.LevelWarn)}
}
