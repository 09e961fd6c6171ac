package server

import (
	"crypto/subtle"
	"encoding/json"
	"errors"
	"maps"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

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

// askToSignIn sends a reader to the sign-in page and back afterwards. Whoever
// was sending a form gets back what they had typed.
func (r *request) askToSignIn() {
	if r.Request.Method == http.MethodGet || r.Request.Method == http.MethodHead {
		if isNew, err := r.srv.isNewSalon(r); err == nil && isNew {
			r.Redirect(http.StatusSeeOther, "/set-up")
			return
		}
		r.Redirect(http.StatusSeeOther, "/sign-in?next="+url.QueryEscape(r.Request.URL.RequestURI()))
		return
	}
	page := r.signInForm(r.cameFrom())
	page.Unsaved = typedTexts(r.Request.PostForm)
	page.Fail(nil, "You were signed out meanwhile, so this was not saved. Sign in and send it again.")
	r.srv.page(r.Writer, http.StatusUnauthorized, page)
}

// notTyped are the fields of forms that nobody fills in.
var notTyped = []string{"account", "action", "base_version", "break_since", "client_id", "content_hash", "groom", "next", "rows", "save_id", "save_try"}

// anyKey is a public key as it stands in the choices of a form.
var anyKey = regexp.MustCompile(`^[a-z2-7]{26}$`)

// typedTexts is what somebody entered in a form, by the names of its fields.
func typedTexts(form url.Values) []web.Term {
	var out []web.Term
	for _, name := range slices.Sorted(maps.Keys(form)) {
		if slices.Contains(notTyped, name) || secret(name) {
			continue
		}
		for _, text := range form[name] {
			if strings.TrimSpace(text) != "" && !anyKey.MatchString(text) {
				out = append(out, web.Term{Name: strings.NewReplacer("_", " ", ".", " ").Replace(name), Note: text})
			}
		}
	}
	return out
}

// cameFrom is the page on which a form stood: the one the browser names, if it
// is of this server, or else the nearest page above the address the form was
// sent to.
func (r *request) cameFrom() string {
	from, err := url.Parse(r.Request.Referer())
	if err == nil && from.Host == r.Request.Host && r.srv.isPage(from.Path) && ownPath.MatchString(from.RequestURI()) {
		return from.RequestURI()
	}
	for at := r.Request.URL.EscapedPath(); len(at) > 1; at = at[:strings.LastIndex(at, "/")] {
		if r.srv.isPage(at) && ownPath.MatchString(at) {
			return at
		}
	}
	return "/"
}

// isPage reports whether an address shows a page when it is asked for.
func (s *Server) isPage(path string) bool {
	parts := strings.Split(path, "/")
	return slices.ContainsFunc(s.pages, func(page []string) bool {
		return fits(page, parts)
	})
}

// fits reports whether an address is one of a route, both in parts.
func fits(route, path []string) bool {
	return slices.EqualFunc(route, path, func(want, has string) bool { return want == has || strings.HasPrefix(want, ":") && has != "" })
}

func (r *request) signInForm(next string) web.SignIn {
	page := web.NewSignIn()
	page.Shell = r.shell("Sign in", "")
	page.Next, page.Insecure, page.Demo = next, r.insecure(), r.srv.Demo
	switch { // whose page it follows: see nextFor
	case r.author != "":
		page.Author = r.author
	case r.locked != nil:
		page.Author = r.locked.scope.Key
	}
	r.offerPINs(&page)
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
	if p := overlongLogin(login); p != "" {
		page.Fail(&page.Login, p)
	} else if login == "" {
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
	problem, err := r.check(encoded, password, tryKey{signInAs, login, r.address()}, tryKey{kind: signInFrom, from: r.address()})
	if err != nil {
		return err
	}
	if problem != "" {
		if problem == wrongPassword {
			problem = "This login and password do not belong together. Check both and try again."
		}
		page.Fail(&page.Password, problem)
		return r.show(page, page.Shell)
	}
	if r.device != nil {
		if err := r.srv.Store.ForgetTries(ctx, *r.device, person.Key); err != nil {
			return err
		}
	}
	to := r.nextFor(person.Key)
	if err := r.begin(person.Key, store.ProofOf(encoded), store.ByPassword); err != nil {
		return err
	}
	return r.goTo(to, "")
}

// nextFor is where a person goes after signing in. What somebody else was
// looking at is not for them.
func (r *request) nextFor(person string) string {
	if r.author != "" && r.author != person {
		return "/"
	}
	return safeNext(r.value("next"))
}

// begin starts a session under a new token, so that one known before signing
// in is worth nothing after it, and keeps nothing of the one before. It lasts
// only as long as what was proved: the stored password, and the PIN. Sessions
// that are over go with it.
func (r *request) begin(person, proof, method string) error {
	ctx := r.Request.Context()
	if err := r.srv.Store.Sessions().Expire(); err != nil {
		return err
	}
	if err := r.srv.sessions.Clear(ctx); err != nil {
		return err
	}
	if err := r.srv.sessions.RenewToken(ctx); err != nil {
		return err
	}
	r.srv.sessions.Put(ctx, "person", person)
	r.srv.sessions.Put(ctx, "proof", proof)
	r.srv.sessions.Put(ctx, "method", method)
	if r.device != nil {
		r.bindToDevice(r.device.Key)
	}
	return nil
}

// session is one value of the session.
func (r *request) session(name string) string {
	return r.srv.sessions.GetString(r.Request.Context(), name)
}

// signOut ends the session. On a shared tablet the page it leads to tells the
// other tabs.
func signOut(r *request) error {
	if err := r.srv.sessions.Destroy(r.Request.Context()); err != nil {
		return err
	}
	to := "/sign-in"
	if r.device != nil {
		to += "?switched"
	}
	r.Redirect(http.StatusSeeOther, to)
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
	if p := r.checkSetUpCode(page.Code.Value); p != "" {
		page.Fail(&page.Code, p)
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
	encoded, err := encodePassword(r.Request.Context(), password)
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
	if err := r.begin(person.Key, store.ProofOf(encoded), store.ByPassword); err != nil {
		return err
	}
	return r.goTo("/people", "The salon is set up. Add your assessors and apprentices next.")
}

func (r *request) checkSetUpCode(code string) (problem string) {
	if p := overlongCode(code); p != "" {
		return p
	}
	key := tryKey{kind: setUpFrom, from: r.address()}
	if wait := r.srv.tries.begin(key); wait > 0 {
		return waitWords("codes", wait)
	}
	if subtle.ConstantTimeCompare([]byte(strings.ToLower(code)), []byte(r.srv.SetUpCode)) != 1 {
		return "This is not the set-up code. It stands in the window where Tablehand was started."
	}
	r.srv.tries.right(key)
	return ""
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
	if p := overlongLogin(login); p != "" {
		page.Fail(&page.Login, p)
	} else if login == "" {
		page.Fail(&page.Login, "Enter your login.")
	}
	if p := overlongCode(page.Code.Value); p != "" {
		page.Fail(&page.Code, p)
	}
	if len(page.Problems) > 0 {
		return r.show(page, page.Shell)
	}
	person, encoded, err := r.useCode(login, page.Code.Value, password)
	var refusal *store.Refusal
	if errors.As(err, &refusal) {
		page.Fail(&page.Code, refusal.Error())
		return r.show(page, page.Shell)
	}
	if err != nil {
		return err
	}
	if err := r.begin(person.Key, store.ProofOf(encoded), store.ByPassword); err != nil {
		return err
	}
	return r.goTo("/", "Welcome. Your password is set.")
}

// useCode sets a password with a one-time code. The code is looked at first: a
// wrong one is not worth the work of hashing.
func (r *request) useCode(login, code, password string) (p store.Person, encoded string, err error) {
	ctx := r.Request.Context()
	keys := []tryKey{{codeFor, login, r.address()}, {kind: codeFrom, from: r.address()}}
	if wait := r.srv.tries.begin(keys...); wait > 0 {
		return p, "", &store.Refusal{Reasons: []string{waitWords("codes", wait)}}
	}
	if err = r.srv.Store.CheckCode(ctx, login, code); err == nil {
		if encoded, err = encodePassword(ctx, password); err == nil {
			p, err = r.srv.Store.SetPassword(ctx, login, code, encoded)
		}
	}
	if errors.Is(err, store.ErrDenied) || errors.Is(err, store.ErrNotFound) {
		err = &store.Refusal{Reasons: []string{"This code does not belong to this login, was used already, or is too old. Ask the head groomer for a new one."}}
	}
	if err == nil {
		r.srv.tries.right(keys...)
	}
	return p, encoded, err
}

var loginForm = regexp.MustCompile(`^[a-z0-9][a-z0-9._-]{1,39}$`)

func checkLogin(shell *web.Shell, f *web.Field) {
	if !loginForm.MatchString(strings.ToLower(f.Value)) {
		shell.Fail(f, "Choose a login of 2 to 40 small letters and digits; dots and dashes may stand between.")
	}
}

// checkLine asks for a short text on one line, which shows what it is.
func (r *request) checkLine(shell *web.Shell, f *web.Field, missing string) {
	n := len([]rune(f.Value))
	p := lineProblem(f.Value)
	switch {
	case n == 0:
		shell.Fail(f, missing)
	case n > 80:
		shell.Fail(f, "Keep it to 80 characters.")
	case p != "":
		shell.Fail(f, f.Label+": "+p)
	}
}

// unseen are letters and symbols that show nothing.
var unseen = []rune{'\u115f', '\u1160', '\u2800', '\u3164', '\uffa0'}

// lineProblem says what keeps a text from being one line that looks like what
// it is.
func lineProblem(text string) string {
	shows := false
	for i, c := range text {
		switch _, size := utf8.DecodeRuneInString(text[i:]); {
		case c == '\n' || c == '\r' || unicode.In(c, unicode.Zl, unicode.Zp):
			return "there is a line break in it. Write it on one line."
		case c == utf8.RuneError && size == 1, unicode.IsControl(c):
			return "there is a character in it that cannot be shown. Type it again instead of pasting it."
		case c >= '\u202a' && c <= '\u202e', c >= '\u2066' && c <= '\u2069':
			return "there is a hidden sign in it that turns the writing direction round. Type it again instead of pasting it."
		case unicode.In(c, unicode.L, unicode.N, unicode.P, unicode.S):
			shows = shows || !slices.Contains(unseen, c)
		}
	}
	if !shows {
		return "there is nothing to be seen in it. Write at least one letter or digit."
	}
	return ""
}
