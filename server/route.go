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

// policy says who may use a route. Whose object it is about is the store's
// part: every query is scoped.
type policy struct {
	public bool
	roles  []assessment.Role
}

var (
	anyone    = policy{public: true}
	everybody = policy{roles: assessment.Roles} // who is signed in
	judges    = policy{roles: []assessment.Role{assessment.HeadGroomer, assessment.Assessor}}
	heads     = policy{roles: []assessment.Role{assessment.HeadGroomer}}
	learners  = policy{roles: []assessment.Role{assessment.Apprentice}}
	staff     = policy{roles: []assessment.Role{assessment.HeadGroomer, assessment.Assessor, assessment.Auditor}}
)

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
	{"POST", "/sign-out", anyone, signOut},
	{"GET", "/set-up", anyone, setUpPage},
	{"POST", "/set-up", anyone, setUp},
	{"GET", "/welcome", anyone, welcomePage},
	{"POST", "/welcome", anyone, welcome},

	{"GET", "/", everybody, today},
	{"GET", "/matrix", everybody, matrix},
	{"GET", "/wall", staff, wall},
	{"GET", "/apprentices/:apprentice", everybody, apprentice},
	{"GET", "/apprentices/:apprentice/review", everybody, progressReview},
	{"GET", "/apprentices/:apprentice/skills/:skill", everybody, apprenticeSkill},
	{"POST", "/apprentices/:apprentice/skills/:skill/permission", judges, setPermission},
	{"POST", "/apprentices/:apprentice/skills/:skill/check", judges, addCheck},
	{"POST", "/apprentices/:apprentice/skills/:skill/holds/:hold", judges, releaseHold},
	{"POST", "/apprentices/:apprentice/skills/:skill/review", judges, reviewSkill},
	{"GET", "/apprentices/:apprentice/skills/:skill/propose", judges, proposePage},
	{"POST", "/apprentices/:apprentice/skills/:skill/propose", judges, propose},
	{"GET", "/skills/:skill", everybody, skill},
	{"POST", "/skills/:skill/policy", heads, setPolicy},

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
	{"POST", signedPhotos + "/:photo/withdraw", judges, photosOf(withdrawPhoto)},

	{"POST", "/grooms/signed/:groom/self", learners, rateSelf},
	{"POST", "/grooms/signed/:groom/show", learners, showMarks},
	{"POST", "/grooms/second", judges, newSecond},
	{"GET", "/agreement", staff, agreementPage},

	{"GET", "/exercises", everybody, exercises},
	{"POST", "/exercises", learners, beginExercise},
	{"GET", "/exercises/:exercise", everybody, exercise},
	{"POST", "/exercises/:exercise", learners, finishExercise},
	{"POST", "/exercises/:exercise/adopt", judges, adoptExercise},

	{"GET", "/signoffs", everybody, signOffs},
	{"GET", "/signoffs/sample", staff, sample},
	{"GET", "/signoffs/:signoff", everybody, signOff},
	{"GET", "/signoffs/:signoff/certificate", everybody, certificate},
	{"POST", "/signoffs/:signoff/decide", judges, decide},

	{"GET", "/programme", everybody, programme},
	{"GET", "/phrases", judges, phrasesPage},
	{"POST", "/phrases", judges, setPhrases},
	{"GET", "/programme/rules/:rule", everybody, rule},
	{"POST", "/programme/rules/:rule", heads, publishRule},
	{"GET", "/export", everybody, exportPage},
	{"POST", "/export/workbook", everybody, exportWorkbook},
	{"GET", "/people", staff, people},
	{"POST", "/people", heads, addPerson},
	{"GET", "/people/:person", heads, personPage},
	{"POST", "/people/:person", heads, correctPerson},
	{"POST", "/people/:person/left", heads, personLeft},
	{"POST", "/people/:person/back", heads, personBack},
	{"POST", "/people/:person/code", heads, renewCode},
	{"GET", "/account", everybody, accountPage},
	{"POST", "/account", everybody, changePassword},
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

// who finds out whose session it is; nobody's is the zero Scope.
func (s *Server) who(ctx context.Context) (store.Scope, *curriculum.Programme, error) {
	key := s.sessions.GetString(ctx, "person")
	if key == "" {
		return store.Scope{}, nil, nil
	}
	scope, prog, err := s.Store.Enter(ctx, key)
	// A session begun with an earlier password is over.
	if errors.Is(err, store.ErrNotFound) || err == nil && s.sessions.GetString(ctx, "proof") != scope.Proof {
		return store.Scope{}, nil, nil
	}
	return scope, prog, err
}

// admit finds out who asks and whether the policy lets them in. Role and
// scope are read from the record on every request, not from the session.
func (r *request) admit(p policy) error {
	var err error
	if r.scope, r.prog, err = r.srv.who(r.Request.Context()); err != nil {
		return err
	}
	if err := r.form(); err != nil {
		return err
	}
	switch {
	case p.public:
		return nil
	case r.prog == nil:
		return errSignIn
	case !slices.Contains(p.roles, r.scope.Role):
		return store.ErrDenied
	}
	return nil
}
