package server

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strings"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
	"tablehand/server/web"
)

// policy says who may use a route, and by which proof. Whose object it is about
// is the store's part: every query is scoped.
type policy struct {
	public   bool
	roles    []assessment.Role
	password bool // a PIN is not enough
}

// A PIN does for drafts, for what an apprentice tells of their own work and for
// reading what the role may read. Signing and deciding on what was signed asks
// for the password in its own form. Whatever else changes the record, the people
// or the program, or takes the record away, is behind one of the policies after
// these.
var (
	anyone    = policy{public: true}
	everybody = policy{roles: assessment.Roles} // who is signed in
	judges    = policy{roles: []assessment.Role{assessment.HeadGroomer, assessment.Assessor}}
	learners  = policy{roles: []assessment.Role{assessment.Apprentice}}
	staff     = policy{roles: []assessment.Role{assessment.HeadGroomer, assessment.Assessor, assessment.Auditor}}

	everybodyByPassword = everybody.byPassword()
	judgesByPassword    = judges.byPassword()
	learnersByPassword  = learners.byPassword()
	headsByPassword     = policy{roles: []assessment.Role{assessment.HeadGroomer}}.byPassword()
	staffByPassword     = staff.byPassword()
)

func (p policy) byPassword() policy {
	p.password = true
	return p
}

type route struct {
	method, path string
	policy       policy
	handler      handler
}

// routes is every address the server answers.
var routes = []route{
	{"GET", "/help", anyone, help},
	{"GET", "/sign-in", anyone, signInPage},
	{"POST", "/sign-in", anyone, signIn},
	{"POST", "/sign-in/pin", anyone, signInWithPIN},
	{"POST", "/sign-out", anyone, signOut},
	{"GET", "/set-up", anyone, setUpPage},
	{"POST", "/set-up", anyone, setUp},
	{"GET", "/welcome", anyone, welcomePage},
	{"POST", "/welcome", anyone, welcome},
	{"GET", "/password", everybody, passwordPage},
	{"POST", "/password", everybody, password},

	{"GET", "/", everybody, today},
	{"GET", "/matrix", everybody, matrix},
	{"GET", "/wall", staff, wall},
	{"GET", "/apprentices/:apprentice", everybody, apprentice},
	{"GET", "/apprentices/:apprentice/progress", everybody, overTime},
	{"GET", "/apprentices/:apprentice/review", everybody, progressReview},
	{"GET", "/apprentices/:apprentice/skills/:skill", everybody, apprenticeSkill},
	{"POST", "/apprentices/:apprentice/skills/:skill/permission", judgesByPassword, setPermission},
	{"POST", "/apprentices/:apprentice/skills/:skill/check", judgesByPassword, addCheck},
	{"POST", "/apprentices/:apprentice/skills/:skill/holds/:hold", judges, releaseHold},
	{"POST", "/apprentices/:apprentice/skills/:skill/review", judgesByPassword, reviewSkill},
	{"GET", "/apprentices/:apprentice/skills/:skill/propose", judges, proposePage},
	{"POST", "/apprentices/:apprentice/skills/:skill/propose", judges, propose},
	{"GET", "/skills/:skill", everybody, skill},
	{"POST", "/skills/:skill/policy", headsByPassword, setPolicy},

	{"GET", "/grooms", everybody, grooms},
	{"GET", "/grooms/new", judges, newGroomPage},
	{"POST", "/grooms/new", judges, newGroom},
	{"GET", "/grooms/drafts/:draft", judges, draftPage},
	{"POST", "/grooms/drafts/:draft", judges, saveDraft},
	{"GET", draftPhotos, judges, photosOf(photos)},
	{"POST", draftPhotos, judges, photosOf(addPhotos)},
	{"GET", draftPhotos + "/:photo/small", judges, picture(false)},
	{"GET", draftPhotos + "/:photo/large", judges, picture(true)},
	{"POST", draftPhotos + "/:photo/withdraw", judges, photosOf(withdrawPhoto)},
	{"GET", "/grooms/drafts/:draft/read-back", judges, ready(readBack)},
	{"POST", "/grooms/drafts/:draft/sign", judges, ready(signGroom)},
	{"GET", "/grooms/drafts/:draft/cut-plan", judges, cutPlanPage},
	{"POST", "/grooms/drafts/:draft/cut-plan", judges, saveCutPlan},
	{"POST", "/grooms/drafts/:draft/discard", judges, discardDraft},
	{"GET", "/grooms/signed/:groom", everybody, groom},
	{"GET", "/grooms/signed/:groom/correct", judges, correctPage},
	{"POST", "/grooms/signed/:groom/correct", judges, correct},

	{"GET", signedPhotos, everybody, photosOf(photos)},
	{"POST", signedPhotos, judges, photosOf(addPhotos)},
	{"GET", signedPhotos + "/:photo/small", everybody, picture(false)},
	{"GET", signedPhotos + "/:photo/large", everybody, picture(true)},
	{"POST", signedPhotos + "/:photo/withdraw", judgesByPassword, photosOf(withdrawPhoto)},

	{"POST", "/grooms/signed/:groom/self", learners, rateSelf},
	{"POST", "/grooms/signed/:groom/show", learners, showMarks},
	{"POST", "/grooms/signed/:groom/acknowledge", learnersByPassword, acknowledge},
	{"POST", "/grooms/signed/:groom/answer", judgesByPassword, answerDisagreement},
	{"POST", "/grooms/second", judges, newSecond},
	{"GET", "/agreement", staff, agreementPage},

	{"GET", "/exercises", everybody, exercises},
	{"POST", "/exercises", learners, beginExercise},
	{"GET", "/exercises/:exercise", everybody, exercise},
	{"POST", "/exercises/:exercise", learners, finishExercise},
	{"POST", "/exercises/:exercise/adopt", judgesByPassword, adoptExercise},
	{"GET", "/logbook", everybody, logbook},
	{"GET", "/logbook/new", learners, logNewPage},
	{"POST", "/logbook/new", learners, addLogEntry},
	{"GET", "/logbook/countersign", judges, countersignPage},
	{"POST", "/logbook/countersign", judges, countersign},
	{"GET", "/logbook/:entry", everybody, logEntry},
	{"POST", "/logbook/:entry/deny", judges, denyLogEntry},

	{"GET", "/signoffs", everybody, signOffs},
	{"GET", "/signoffs/sample", staff, sample},
	{"GET", "/signoffs/:signoff", everybody, signOff},
	{"GET", "/signoffs/:signoff/certificate", everybody, certificate},
	{"POST", "/signoffs/:signoff/decide", judges, decide},

	{"GET", "/programme", everybody, programme},
	{"GET", "/phrases", judges, phrasesPage},
	{"POST", "/phrases", judgesByPassword, setPhrases},
	{"GET", "/programme/rules/:rule", everybody, rule},
	{"POST", "/programme/rules/:rule", headsByPassword, publishRule},
	{"GET", "/export", everybodyByPassword, exportPage},
	{"POST", "/export/workbook", everybodyByPassword, exportWorkbook},
	{"GET", "/people", staffByPassword, people},
	{"POST", "/people", headsByPassword, addPerson},
	{"GET", "/people/:person", headsByPassword, personPage},
	{"POST", "/people/:person", headsByPassword, correctPerson},
	{"POST", "/people/:person/left", headsByPassword, personLeft},
	{"POST", "/people/:person/back", headsByPassword, personBack},
	{"POST", "/people/:person/code", headsByPassword, renewCode},
	{"GET", "/devices", headsByPassword, devices},
	{"POST", "/devices", headsByPassword, enrol},
	{"POST", "/devices/:device/revoke", headsByPassword, revoke},
	{"GET", "/account", everybodyByPassword, accountPage},
	{"POST", "/account", everybodyByPassword, changePassword},
	{"POST", "/account/pin", everybodyByPassword, setPIN},
	{"POST", "/account/pin/remove", everybodyByPassword, removePIN},
}

// addRoutes puts a table on the router. A route that lets nobody in is a
// mistake in the table, and the server does not start with it.
func (s *Server) addRoutes(table []route) error {
	for _, r := range table {
		if !r.policy.public && len(r.policy.roles) == 0 {
			return fmt.Errorf("route %s %s has no policy", r.method, r.path)
		}
		s.engine.Handle(r.method, r.path, s.adapt(r.policy, r.handler))
		if r.method == http.MethodGet {
			s.engine.Handle(http.MethodHead, r.path, s.adapt(r.policy, r.handler))
			s.pages = append(s.pages, strings.Split(r.path, "/"))
		}
	}
	s.engine.NoRoute(s.adapt(anyone, func(r *request) error { return store.ErrNotFound }))
	s.engine.NoMethod(s.adapt(anyone, func(r *request) error {
		s.page(r.Writer, http.StatusMethodNotAllowed, web.NotFound(r.shell("", "")))
		return nil
	}))
	return nil
}

// visitor is who asks, and from which shared tablet.
type visitor struct {
	scope  store.Scope // zero when nobody is signed in
	prog   *curriculum.Programme
	device *store.Device // nil on other machines
	locked *identity     // whose session has locked itself; nil when none has
}

// identity is a person as the record has them.
type identity struct {
	scope store.Scope
	prog  *curriculum.Programme
}

// who finds out who asks. Role and scope are read from the record on every
// request, not from the session.
func (s *Server) who(ctx context.Context, r *http.Request) (v visitor, err error) {
	if v.device, err = s.deviceOf(r); err != nil {
		return v, err
	}
	key := s.sessions.GetString(ctx, "person")
	if key == "" {
		return v, nil
	}
	scope, prog, err := s.Store.Enter(ctx, key)
	if errors.Is(err, store.ErrNotFound) {
		return v, nil
	}
	if err != nil {
		return v, err
	}
	proof := scope.Proof
	if scope.Method = s.sessions.GetString(ctx, "method"); scope.Method == store.ByPIN {
		proof = scope.PINProof
	}
	if proof == "" || s.sessions.GetString(ctx, "proof") != proof {
		return v, nil // begun with an earlier password or PIN
	}
	switch here, away := s.presence(ctx, v.device); {
	case here && away >= s.idle:
		v.locked = &identity{scope, prog}
	case here:
		v.scope, v.prog = scope, prog
	}
	return v, nil
}

// admit finds out who asks and whether the policy lets them in.
func (r *request) admit(p policy) (err error) {
	if r.visitor, err = r.srv.who(r.Request.Context(), r.Request); err != nil {
		return err
	}
	if err := r.noteDevice(); err != nil {
		return err
	}
	if err := r.form(); err != nil {
		return err
	}
	if r.Request.Method == http.MethodPost {
		r.author = r.value("author")
		r.Request.PostForm.Del("author") // no handler keeps it as somebody's entry
	}
	if p.public {
		return nil
	}
	if err := r.ofItsAuthor(); err != nil {
		return err
	}
	if r.prog == nil {
		if err := r.unlock(); err != nil {
			return err
		}
	}
	if !slices.Contains(p.roles, r.scope.Role) {
		return store.ErrDenied
	}
	if p.password && r.scope.Method != store.ByPassword {
		return r.stepUp()
	}
	return nil
}
