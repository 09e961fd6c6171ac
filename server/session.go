package server

import (
	"crypto/subtle"
	"encoding/json"
	"errors"
	"net/http"
	"net/url"
	"regexp"
	"strings"
	"time"

	"tablehand/server/store"
	"tablehand/server/web"
)

// sessionCodec writes a session's values, which are all text, as JSON. The
// library's own codec builds a decoder for each request: a fifth of a page.
type sessionCodec struct{}

type sessionData struct {
	Deadline time.Time
	Values   map[string]any
}

func (sessionCodec) Encode(deadline time.Time, values map[string]any) ([]byte, error) {
	return json.Marshal(sessionData{deadline, values})
}

func (sessionCodec) Decode(data []byte) (time.Time, map[string]any, error) {
	var d sessionData
	err := json.Unmarshal(data, &d)
	return d.Deadline, d.Values, err
}

// ownPath reports whether a path leads somewhere on this server: it begins
// with one slash and a plain character, whatever a browser makes of
// backslashes.
var ownPath = regexp.MustCompile(`^/([A-Za-z0-9_?#][^\\\x00-\x20]*)?$`)

func safeNext(next string) string {
	if !ownPath.MatchString(next) {
		return "/"
	}
	return next
}

func (r *request) insecure() bool { return r.Request.TLS == nil && !r.onLoopback() }

func (r *request) onLoopback() bool {
	host := r.Request.Host
	return strings.HasPrefix(host, "127.0.0.1") || strings.HasPrefix(host, "localhost") || strings.HasPrefix(host, "[::1]")
}

// askToSignIn sends a reader to the sign-in page and back afterwards. A form
// that was being sent is told so; nothing of it is kept.
func (r *request) askToSignIn() {
	if r.Request.Method == http.MethodGet {
		if isNew, err := r.srv.isNewSalon(r); err == nil && isNew {
			r.Redirect(http.StatusSeeOther, "/set-up")
			return
		}
		r.Redirect(http.StatusSeeOther, "/sign-in?next="+url.QueryEscape(r.Request.URL.RequestURI()))
		return
	}
	page := r.signInForm("/")
	page.Fail(nil, "You were signed out meanwhile, so this was not saved. Sign in and send it again.")
	r.srv.page(r.Writer, http.StatusUnauthorized, page)
}

func (r *request) signInForm(next string) web.SignIn {
	page := web.NewSignIn()
	page.Shell = r.shell("Sign in", "")
	page.Next, page.Insecure, page.Demo = next, r.insecure(), r.srv.Demo
	return page
}

func signInPage(r *request) error {
	if isNew, err := r.srv.isNewSalon(r); err != nil || isNew {
		if err == nil {
			err = r.goTo("/set-up", "")
		}
		return err
	}
	page := r.signInForm(safeNext(r.Query("next")))
	return r.show(page, page.Shell)
}

func signIn(r *request) error {
	ctx := r.Request.Context()
	login, password := strings.ToLower(r.value("login")), r.Request.PostFormValue("password")
	page := r.signInForm(safeNext(r.value("next")))
	page.Login.Value = r.value("login")
	if login == "" {
		page.Fail(&page.Login, "Enter your login.")
	}
	if password == "" {
		page.Fail(&page.Password, "Enter your password.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	person, encoded, err := r.srv.Store.Credentials(ctx, login)
	if err != nil && statusOf(err) != http.StatusNotFound {
		return err
	}
	if encoded == "" {
		encoded = nobody()
	}
	problem, err := r.srv.passwordCheck(ctx, login, encoded, password)
	if err != nil {
		return err
	}
	if problem != "" {
		if !strings.HasPrefix(problem, "Too many") {
			problem = "This login and password do not belong together. Check both and try again."
		}
		page.Fail(&page.Password, problem)
		return r.show(page, page.Shell)
	}
	if err := r.begin(person.Key); err != nil {
		return err
	}
	return r.goTo(safeNext(r.value("next")), "")
}

// begin starts a session under a new token, so that one known before signing
// in is worth nothing after it. Sessions that are over go with it.
func (r *request) begin(person string) error {
	ctx := r.Request.Context()
	if err := r.srv.Store.Sessions().Expire(); err != nil {
		return err
	}
	if err := r.srv.sessions.RenewToken(ctx); err != nil {
		return err
	}
	r.srv.sessions.Put(ctx, "person", person)
	return nil
}

func signOut(r *request) error {
	if err := r.srv.sessions.Destroy(r.Request.Context()); err != nil {
		return err
	}
	r.Redirect(http.StatusSeeOther, "/sign-in")
	return nil
}

// isNewSalon reports whether the record still has to be set up. Once it has
// been, that never changes back.
func (s *Server) isNewSalon(r *request) (bool, error) {
	s.isNew.Lock()
	defer s.isNew.Unlock()
	if s.founded {
		return false, nil
	}
	isNew, err := s.Store.IsNew(r.Request.Context())
	s.founded = err == nil && !isNew
	return isNew, err
}

func (r *request) setUpForm() web.SetUp {
	page := web.NewSetUp()
	page.Shell = r.shell("Set up Tablehand", "")
	page.Insecure = r.insecure()
	for _, z := range zones {
		page.Zone.Choices = append(page.Zone.Choices, web.Choice{Value: z, Label: strings.ReplaceAll(z, "_", " ")})
	}
	return page
}

// zones are offered at set-up.
var zones = strings.Fields(`Africa/Cairo Africa/Casablanca Africa/Johannesburg Africa/Lagos Africa/Nairobi America/Anchorage America/Argentina/Buenos_Aires
	America/Bogota America/Chicago America/Denver America/Edmonton America/Halifax America/Lima America/Los_Angeles
	America/Mexico_City America/New_York America/Phoenix America/Santiago America/Sao_Paulo America/St_Johns America/Toronto
	America/Vancouver America/Winnipeg Asia/Bangkok Asia/Dhaka Asia/Dubai Asia/Hong_Kong Asia/Jakarta Asia/Jerusalem Asia/Karachi
	Asia/Kolkata Asia/Manila Asia/Seoul Asia/Shanghai Asia/Singapore Asia/Taipei Asia/Tokyo Atlantic/Reykjavik Australia/Adelaide
	Australia/Brisbane Australia/Darwin Australia/Hobart Australia/Melbourne Australia/Perth Australia/Sydney Europe/Amsterdam
	Europe/Athens Europe/Berlin Europe/Brussels Europe/Bucharest Europe/Budapest Europe/Copenhagen Europe/Dublin Europe/Helsinki
	Europe/Istanbul Europe/Kyiv Europe/Lisbon Europe/London Europe/Madrid Europe/Oslo Europe/Paris Europe/Prague Europe/Riga
	Europe/Rome Europe/Sofia Europe/Stockholm Europe/Tallinn Europe/Vienna Europe/Vilnius Europe/Warsaw Europe/Zurich Pacific/Auckland
	Pacific/Honolulu UTC`)

// open refuses the set-up pages once there is a salon.
func (r *request) open() error {
	isNew, err := r.srv.isNewSalon(r)
	if err != nil {
		return err
	}
	if !isNew || r.srv.SetUpCode == "" {
		return store.ErrNotFound
	}
	return nil
}

func setUpPage(r *request) error {
	if err := r.open(); err != nil {
		return err
	}
	page := r.setUpForm()
	return r.show(page, page.Shell)
}

func setUp(r *request) error {
	if err := r.open(); err != nil {
		return err
	}
	page := r.setUpForm()
	password := r.Request.PostFormValue("password")
	page.Code.Value, page.SalonF.Value, page.Name.Value, page.Login.Value = r.value("code"), r.value("salon"), r.value("name"), r.value("login")
	page.Zone.Choose(r.value("zone"))
	given := strings.ToLower(page.Code.Value)
	switch {
	case r.srv.tries.wait("set-up") > 0:
		page.Fail(&page.Code, "Too many wrong codes. Wait a little, then try again.")
	case subtle.ConstantTimeCompare([]byte(given), []byte(r.srv.SetUpCode)) != 1:
		r.srv.tries.failed("set-up")
		page.Fail(&page.Code, "This is not the set-up code. It stands in the window where Tablehand was started.")
	}
	r.checkLine(&page.Shell, &page.SalonF, "Give the salon a name.")
	if _, err := time.LoadLocation(r.value("zone")); err != nil || !page.Zone.Chosen() {
		page.Fail(&page.Zone, "Choose the time zone of the salon.")
	}
	r.checkLine(&page.Shell, &page.Name, "Enter your name.")
	checkLogin(&page.Shell, &page.Login)
	if p := passwordProblem(password, page.Login.Value); p != "" {
		page.Fail(&page.Password, p)
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	encoded, err := EncodePassword(password)
	if err != nil {
		return err
	}
	person, err := r.srv.Store.Found(r.Request.Context(), store.Founding{Salon: page.SalonF.Value, Zone: r.value("zone"), Name: page.Name.Value,
		Login: strings.ToLower(page.Login.Value), Password: encoded, Programme: r.srv.Programme})
	if errors.Is(err, store.ErrExists) {
		return r.goTo("/sign-in", "The salon was set up meanwhile. Sign in.")
	}
	if err != nil {
		return err
	}
	if err := r.begin(person.Key); err != nil {
		return err
	}
	return r.goTo("/people", "The salon is set up. Add your assessors and apprentices next.")
}

func (r *request) welcomeForm() web.Welcome {
	page := web.NewWelcome()
	page.Shell = r.shell("Choose your password", "")
	page.Insecure = r.insecure()
	return page
}

func welcomePage(r *request) error {
	page := r.welcomeForm()
	page.Login.Value = r.Query("login")
	return r.show(page, page.Shell)
}

func welcome(r *request) error {
	page := r.welcomeForm()
	login, password := strings.ToLower(r.value("login")), r.Request.PostFormValue("password")
	page.Login.Value, page.Code.Value = r.value("login"), r.value("code")
	if p := passwordProblem(password, login); p != "" {
		page.Fail(&page.Password, p)
	}
	if login == "" {
		page.Fail(&page.Login, "Enter your login.")
	}
	if r.srv.tries.wait("code "+login) > 0 {
		page.Fail(&page.Code, "Too many wrong codes. Wait a little, then try again.")
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	encoded, err := EncodePassword(password)
	if err != nil {
		return err
	}
	person, err := r.srv.Store.SetPassword(r.Request.Context(), login, page.Code.Value, encoded)
	if status := statusOf(err); err != nil && (status == http.StatusForbidden || status == http.StatusNotFound) {
		r.srv.tries.failed("code " + login)
		page.Fail(&page.Code, "This code does not belong to this login, was used already, or is too old. Ask the head groomer for a new one.")
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	if err := r.begin(person.Key); err != nil {
		return err
	}
	return r.goTo("/", "Welcome. Your password is set.")
}

var loginForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{1,39}$`)

func checkLogin(shell *web.Shell, f *web.Field) {
	if !loginForm.MatchString(strings.ToLower(f.Value)) {
		shell.Fail(f, "Choose a login of 2 to 40 small letters and digits; dots and dashes may stand between.")
	}
}

// checkLine asks for a short text.
func (r *request) checkLine(shell *web.Shell, f *web.Field, missing string) {
	switch n := len([]rune(f.Value)); {
	case n == 0:
		shell.Fail(f, missing)
	case n > 80:
		shell.Fail(f, "Keep it to 80 characters.")
	}
}
