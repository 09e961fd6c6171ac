package store

import (
	"context"
	"errors"
	"net/url"
	"reflect"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

var scopeType = reflect.TypeFor[Scope]()

// scoped calls f for every exported method of the store that takes a Scope.
func scoped(f func(m reflect.Method)) (n int) {
	store := reflect.TypeFor[*Store]()
	for i := range store.NumMethod() {
		m := store.Method(i)
		for j := range m.Type.NumIn() {
			if m.Type.In(j) == scopeType {
				f(m)
				n++
				break
			}
		}
	}
	return n
}

// ask calls a method with a scope and harmless values for everything else.
func (h *house) ask(m reflect.Method, sc Scope) []reflect.Value {
	args := []reflect.Value{reflect.ValueOf(h.Store)}
	for i := 1; i < m.Type.NumIn(); i++ {
		switch in := m.Type.In(i); in {
		case scopeType:
			args = append(args, reflect.ValueOf(sc))
		case reflect.TypeFor[context.Context]():
			args = append(args, reflect.ValueOf(h.ctx))
		case reflect.TypeFor[*curriculum.Programme]():
			args = append(args, reflect.ValueOf(h.prog))
		case reflect.TypeFor[curriculum.PointsRule]():
			args = append(args, reflect.ValueOf(h.prog.Points[0]))
		case reflect.TypeFor[string]():
			args = append(args, reflect.ValueOf(h.pia.Key))
		case reflect.TypeFor[url.Values]():
			args = append(args, reflect.ValueOf(url.Values{"dog": {"Biscuit"}}))
		default:
			args = append(args, reflect.Zero(in))
		}
	}
	return m.Func.Call(args)
}

func errorOf(out []reflect.Value) (error, bool) {
	last := out[len(out)-1]
	if last.Type() != reflect.TypeFor[error]() {
		return nil, false
	}
	err, _ := last.Interface().(error)
	return err, true
}

// These answer without an error: the day it is, and whether a write was done.
var errorless = []string{"Replayed", "Today"}

func TestNobodyMayDoAnything(t *testing.T) {
	h := newHouse(t)
	h.fill()
	_, err := h.SetPermission(h.ctx, h.runa, h.pia.Key, "CW4", 1, "First day.", h.pia.Key) // a client id for Replayed to find
	require.NoError(t, err)
	before := h.dump()
	for name, sc := range map[string]Scope{
		"zero":           {},
		"invented":       {Key: h.runa.Key, Name: "Runa Vale", Role: assessment.HeadGroomer, Salon: h.runa.Salon, Zone: "UTC"},
		"without salon":  {person: h.runa.person, Role: assessment.HeadGroomer},
		"without person": {salon: h.runa.salon, Role: assessment.HeadGroomer},
	} {
		n := scoped(func(m reflect.Method) {
			out := h.ask(m, sc)
			err, has := errorOf(out)
			if !has {
				assert.Contains(t, errorless, m.Name, "a new method that cannot refuse")
				if m.Name != "Today" {
					for _, v := range out {
						assert.True(t, v.IsZero(), "%s for %s", m.Name, name)
					}
				}
				return
			}
			assert.ErrorIs(t, err, ErrDenied, "%s for %s", m.Name, name)
			for _, v := range out[:len(out)-1] {
				assert.True(t, v.IsZero(), "%s for %s gives %v", m.Name, name, v)
			}
		})
		assert.GreaterOrEqual(t, n, 25)
	}
	assert.Equal(t, before, h.dump())
}

// dump is the contents of every table, each as the number of its rows and a
// fingerprint.
func (h *house) dump() map[string]string {
	var tables []string
	require.NoError(h.t, h.read.Raw("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'").Scan(&tables).Error)
	out := map[string]string{}
	for _, name := range tables {
		out[name] = h.contents(name)
	}
	return out
}

// writes are the methods that change something; apprentices and auditors may
// do none of them. Every other method reads, and TestWhoSeesWhat tries it.
var writes = []string{"AddCheck", "AddPerson", "AddPhoto", "AdoptExercise", "SaveCutPlan", "ComeBack", "Correct", "Leave", "Decide", "DropDraft", "Enrol", "NewDraft", "NewSecond", "Propose", "Publish", "PublishRule", "AnswerDisagreement", "Countersign", "DenyLogEntry", "Release", "RenewCode", "Review", "Revoke", "SaveDraft", "SetPermission", "SetPhrases", "SetPolicy", "Sign", "WithdrawPhoto"}

// learnersWrite are the methods with which an apprentice writes; nobody else may.
var learnersWrite = []string{"Acknowledge", "AddLogEntry"}

func TestOnlyApprenticesWriteWhatIsTheirs(t *testing.T) {
	h := newHouse(t)
	h.fill()
	before := h.dump()
	scoped(func(m reflect.Method) {
		if slices.Contains(learnersWrite, m.Name) {
			for _, sc := range []Scope{h.runa, h.ines, h.mara} {
				err, _ := errorOf(h.ask(m, sc))
				assert.ErrorIs(t, err, ErrDenied, "%s by %s", m.Name, sc.Role)
			}
		}
	})
	assert.Equal(t, before, h.dump())
}

func TestWhoMayNotJudgeWritesNothing(t *testing.T) {
	h := newHouse(t)
	h.fill()
	before := h.dump()
	tried := 0
	scoped(func(m reflect.Method) {
		if !slices.Contains(writes, m.Name) {
			return
		}
		tried++
		for _, sc := range []Scope{h.pia, h.mara} {
			err, _ := errorOf(h.ask(m, sc))
			assert.ErrorIs(t, err, ErrDenied, "%s by %s", m.Name, sc.Role)
		}
	})
	assert.Equal(t, len(writes), tried)
	assert.Equal(t, before, h.dump())
}

// reads says, for each reading method, whether the person gets to see what
// there is of Pia: her groom, photo, sign-off, permission, hold and name.
func (h *house) reads(groom, signOff, exercise, planned string) map[string]func(sc Scope) (bool, error) {
	return map[string]func(sc Scope) (bool, error){
		"Groom": func(sc Scope) (bool, error) {
			g, err := h.Groom(h.ctx, sc, groom)
			return g.Key == groom, err
		},
		"Grooms": func(sc Scope) (bool, error) {
			list, err := h.Grooms(h.ctx, sc, GroomFilter{})
			return slices.ContainsFunc(list, func(g Groom) bool { return g.Apprentice.Key == h.pia.Key || g.Key == groom }), err
		},
		"Photos": func(sc Scope) (bool, error) {
			list, _, err := h.Photos(h.ctx, sc, groom)
			return len(list) > 0, err
		},
		"PhotoPicture": func(sc Scope) (bool, error) {
			picture, err := h.PhotoPicture(h.ctx, sc, groom, h.key("photo"), true)
			return len(picture) > 0, err
		},
		"Grooms of Pia": func(sc Scope) (bool, error) {
			list, err := h.Grooms(h.ctx, sc, GroomFilter{Apprentice: h.pia.Key})
			return len(list) > 0, err
		},
		"SignOff": func(sc Scope) (bool, error) {
			so, err := h.SignOff(h.ctx, sc, signOff)
			return so.Key == signOff, err
		},
		"SignOffs": func(sc Scope) (bool, error) {
			list, err := h.SignOffs(h.ctx, sc)
			return len(list) > 0, err
		},
		"Evidence": func(sc Scope) (bool, error) {
			a, err := h.Evidence(h.ctx, sc, h.pia.Key)
			return a != nil && len(a.Observations) > 0 && len(a.Holds) > 0, err
		},
		"AllEvidence": func(sc Scope) (bool, error) {
			all, err := h.AllEvidence(h.ctx, sc)
			return all[h.pia.Key] != nil, err
		},
		"OpenHolds": func(sc Scope) (bool, error) {
			list, err := h.OpenHolds(h.ctx, sc)
			return len(list) > 0, err
		},
		"Acknowledgements": func(sc Scope) (bool, error) {
			list, err := h.Acknowledgements(h.ctx, sc, AcknowledgementFilter{})
			return len(list) > 0, err
		},
		"LogEntries": func(sc Scope) (bool, error) {
			list, err := h.LogEntries(h.ctx, sc, LogFilter{})
			return len(list) > 0, err
		},
		"LogEntry": func(sc Scope) (bool, error) {
			e, err := h.LogEntry(h.ctx, sc, h.key("logbook_entry"))
			return e.Who.Key == h.pia.Key, err
		},
		"PermissionHistory": func(sc Scope) (bool, error) {
			list, err := h.PermissionHistory(h.ctx, sc, h.pia.Key, "TH4")
			return len(list) > 0, err
		},
		"PolicyHistory": func(sc Scope) (bool, error) {
			list, err := h.PolicyHistory(h.ctx, sc, "NE4")
			return len(list) > 0, err
		},
		"Exercise": func(sc Scope) (bool, error) {
			x, err := h.Exercise(h.ctx, sc, exercise)
			return x.Key == exercise, err
		},
		"Exercises": func(sc Scope) (bool, error) {
			list, err := h.Exercises(h.ctx, sc, "")
			return len(list) > 0, err
		},
		"Exercises of Pia": func(sc Scope) (bool, error) {
			list, err := h.Exercises(h.ctx, sc, h.pia.Key)
			return len(list) > 0, err
		},
		"CutPlan": func(sc Scope) (bool, error) {
			plan, err := h.CutPlan(h.ctx, sc, planned)
			return plan.Version > 0, err
		},
		"CutPlans": func(sc Scope) (bool, error) {
			plans, err := h.CutPlans(h.ctx, sc)
			return len(plans) > 0, err
		},
		"Apprentice": func(sc Scope) (bool, error) {
			p, err := h.Apprentice(h.ctx, sc, h.pia.Key)
			return p.Name == "Pia Lund", err
		},
		"Apprentices": func(sc Scope) (bool, error) {
			list, err := h.Apprentices(h.ctx, sc)
			return slices.ContainsFunc(list, func(p Person) bool { return p.Key == h.pia.Key }), err
		},
		"People": func(sc Scope) (bool, error) {
			list, err := h.People(h.ctx, sc)
			return slices.ContainsFunc(list, func(p Person) bool { return p.Key == h.pia.Key }), err
		},
	}
}

func TestWhoSeesWhat(t *testing.T) {
	h := newHouse(t)
	h.fill()
	exercise, planned := h.key("exercise"), h.text("SELECT key FROM cut_plan")
	groom := h.harm(h.ines, h.pia, "CL4", "S3")
	h.photo(h.ines, groom, assessment.PhotoBefore)
	signOff := h.key("signoff")
	reads := h.reads(groom, signOff, exercise, planned)
	for name, read := range reads {
		for _, c := range []struct {
			sc   Scope
			sees bool
		}{
			{h.runa, true}, {h.ines, true}, {h.tomas, true}, {h.mara, true}, {h.pia, true},
			{h.joss, false}, {h.olan, false}, {h.sven, false}, {h.nell, false},
		} {
			if name == "PolicyHistory" { // the salon's, not Pia's
				c.sees = c.sees || c.sc.Key == h.joss.Key
			}
			sees, err := read(c.sc)
			assert.Equal(t, c.sees, sees, "%s by %s", name, c.sc.Name)
			if err != nil {
				assert.ErrorIs(t, err, ErrNotFound, "%s by %s: a guess must not tell a hidden thing from none", name, c.sc.Name)
				assert.False(t, c.sees, "%s by %s", name, c.sc.Name)
			}
		}
	}
	// Tested by themselves: own drafts, programmes of the own salon, own password
	// and PIN, the salon's devices,
	// what a person has been shown, and what apprentices may write.
	apart := append([]string{"Draft", "Drafts", "PasswordOf", "ChangePassword", "SetPIN", "RemovePIN", "Devices", "Programme", "Programmes", "Phrases", "Open", "Opened", "Sealed", "Joints", "RateSelf", "SelfRatings", "SelfPairs", "BeginExercise", "FinishExercise"}, errorless...)
	scoped(func(m reflect.Method) {
		known := slices.Contains(writes, m.Name) || slices.Contains(apart, m.Name) || reads[m.Name] != nil || slices.Contains(learnersWrite, m.Name)
		assert.True(t, known, "say what %s does: add it to writes or to reads", m.Name)
	})
}

// The number of answers does not tell what is hidden either.
func TestApprenticeSeesOnlyTheirOwn(t *testing.T) {
	h := newHouse(t)
	h.fill()
	own := h.sign(h.tomas, h.groom(h.tomas, h.joss))
	list, err := h.Grooms(h.ctx, h.joss, GroomFilter{})
	require.NoError(t, err)
	require.Len(t, list, 1)
	assert.Equal(t, own, list[0].Key)
	all, err := h.AllEvidence(h.ctx, h.joss)
	require.NoError(t, err)
	assert.Len(t, all, 1)
	assert.Len(t, all[h.joss.Key].Observations, 44)
	people, err := h.People(h.ctx, h.joss)
	require.NoError(t, err)
	var names []string
	for _, p := range people {
		names = append(names, p.Name)
	}
	assert.Equal(t, []string{"Ines Holm", "Joss Arden", "Runa Vale", "Tomas Quill"}, names, "themselves and those who judge")
	_, err = h.Apprentice(h.ctx, h.joss, h.ines.Key)
	assert.ErrorIs(t, err, ErrNotFound)
	for _, key := range []string{"", "nobody", h.pia.Key, h.nell.Key, h.runa.Key, "' OR '1'='1"} {
		_, err := h.Evidence(h.ctx, h.joss, key)
		assert.True(t, errors.Is(err, ErrNotFound), "%q: %v", key, err)
	}
	theirs, err := h.AllEvidence(h.ctx, h.olan)
	require.NoError(t, err)
	assert.Len(t, theirs, 1)
	assert.Contains(t, theirs, h.nell.Key)
}

func TestScopeSaysWhoAndWhere(t *testing.T) {
	h := newHouse(t)
	assert.Equal(t, [4]string{h.pia.Key, "Pia Lund", "Harbour Lane Dogs", "Europe/Lisbon"}, [4]string{h.pia.Key, h.pia.Name, h.pia.Salon, h.pia.Zone})
	assert.Equal(t, assessment.Apprentice, h.pia.Role)
	assert.Equal(t, [2]string{"Far Shore Dogs", "Asia/Tokyo"}, [2]string{h.nell.Salon, h.nell.Zone})
	h.clock.add(7 * 3600 * 1e9) // 16:00 UTC
	assert.Equal(t, "2026-05-20", h.Today(h.pia).String())
	assert.Equal(t, "2026-05-21", h.Today(h.nell).String())
	head, err := h.ScopeOfLogin(h.ctx, "")
	require.NoError(t, err)
	assert.Equal(t, h.runa, head)
	one, err := h.ScopeOfLogin(h.ctx, "nell")
	require.NoError(t, err)
	assert.Equal(t, h.nell, one)
	_, err = h.ScopeOfLogin(h.ctx, "nobody")
	assert.ErrorIs(t, err, ErrNotFound)
}
