package demo

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"
	"time"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

var (
	ctx  = context.Background()
	noon = time.Date(2026, 5, 20, 12, 0, 0, 0, time.UTC)
)

// world is a built demo, read back as its head groomer.
type world struct {
	st        *store.Store
	logins    []Login
	encoded   []string // passwords as they were handed to encode
	sc        store.Scope
	prog      *curriculum.Programme
	today     assessment.Day
	people    []store.Person
	grooms    []store.Groom // newest first
	signOffs  []store.SignOff
	standings map[string][]assessment.Standing // by apprentice's key
	evidence  map[string]*assessment.Apprenticeship
}

func build(t *testing.T, seed uint64, now time.Time) *world {
	t.Helper()
	w := &world{standings: map[string][]assessment.Standing{}}
	begin := time.Now()
	var err error
	must := func() {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	w.st, w.logins, err = Build(ctx, t.TempDir(), seed, now, func(p string) (string, error) {
		w.encoded = append(w.encoded, p)
		return "encoded " + p, nil
	})
	must()
	t.Logf("built in %.2f s", time.Since(begin).Seconds())
	t.Cleanup(func() { w.st.Close() })
	head, _, err := w.st.Credentials(ctx, w.logins[0].Login)
	must()
	w.sc, err = w.st.ScopeOf(ctx, head.Key)
	must()
	w.today = w.st.Today(w.sc)
	w.prog, err = w.st.Programme(ctx, w.sc)
	must()
	w.people, err = w.st.People(ctx, w.sc)
	must()
	w.grooms, err = w.st.Grooms(ctx, w.sc, store.GroomFilter{})
	must()
	w.signOffs, err = w.st.SignOffs(ctx, w.sc)
	must()
	w.evidence, err = w.st.AllEvidence(ctx, w.sc)
	must()
	for key, a := range w.evidence {
		w.standings[key] = a.ExplainedStandings(w.prog, w.today)
	}
	return w
}

// table prints what the demo looks like.
func (w *world) table() string {
	var b strings.Builder
	fmt.Fprintf(&b, "\n%-20s %6s |", "apprentice", "grooms")
	for _, s := range assessment.States {
		fmt.Fprintf(&b, " %11s", s)
	}
	fmt.Fprintf(&b, " | %% incomplete, not yet, meets (last 3 months) | awaiting, used up, alarms\n")
	for _, p := range w.people {
		if p.Role != assessment.Apprentice {
			continue
		}
		states, outcomes, late := map[assessment.State]int{}, map[assessment.Outcome]int{}, map[assessment.Outcome]int{}
		awaiting, usedUp, alarms, n, lateN := 0, 0, 0, 0, 0
		for i := range w.standings[p.Key] {
			st := &w.standings[p.Key][i]
			states[st.State]++
			if st.Awaiting != nil {
				awaiting++
			}
			switch st.Review {
			case assessment.ObservationsUsedUp:
				usedUp++
			case assessment.MonitorAlarm:
				alarms++
			}
		}
		for _, g := range w.grooms {
			if g.Groom.Apprentice == p.Key {
				n++
				outcomes[g.Outcome]++
				if g.Groom.Day > w.today-91 {
					late[g.Outcome]++
					lateN++
				}
			}
		}
		fmt.Fprintf(&b, "%-20s %6d |", p.Name, n)
		for _, s := range assessment.States {
			fmt.Fprintf(&b, " %11d", states[s])
		}
		fmt.Fprint(&b, " | ")
		for _, o := range []assessment.Outcome{assessment.Incomplete, assessment.NotYet, assessment.Meets} {
			fmt.Fprintf(&b, "%3d (%d) ", 100*outcomes[o]/n, 100*late[o]/lateN)
		}
		fmt.Fprintf(&b, "| %d %d %d\n", awaiting, usedUp, alarms)
	}
	return b.String()
}

func TestDemo(t *testing.T) {
	w := build(t, 1, noon)
	t.Log(w.table())
	for _, part := range []struct {
		name string
		test func(*testing.T, *world)
	}{
		{"people", people}, {"grooms", grooms}, {"dogs", dogs}, {"incidents", incidents}, {"standings", standings}, {"sign-offs", signOffs},
		{"drafts", drafts}, {"cutting", cutting}, {"what apprentices wrote", wrote}, {"clock", clockRuns},
	} {
		t.Run(part.name, func(t *testing.T) { part.test(t, w) })
	}
}

func people(t *testing.T, w *world) {
	count := map[assessment.Role]int{}
	for _, p := range w.people {
		count[p.Role]++
		if !p.HasPassword {
			t.Errorf("%s cannot sign in", p.Name)
		}
	}
	want := map[assessment.Role]int{assessment.HeadGroomer: 1, assessment.Assessor: 2, assessment.Apprentice: 6, assessment.Auditor: 1}
	for role, n := range want {
		if count[role] != n {
			t.Errorf("%d × %s, want %d", count[role], role, n)
		}
	}
	if len(w.logins) != len(w.people) || w.logins[0].Role != "Head groomer" {
		t.Errorf("logins: %v", w.logins)
	}
	for _, l := range w.logins {
		_, encoded, err := w.st.Credentials(ctx, l.Login)
		if err != nil || encoded != "encoded "+l.Password {
			t.Errorf("%s cannot sign in with the password shown: %v", l.Name, err)
		}
	}
	if slices.Sort(w.encoded); len(slices.Compact(w.encoded)) != 4 || len(w.encoded) != 4 {
		t.Errorf("encoded %q, want each of four passwords once", w.encoded)
	}
}

func grooms(t *testing.T, w *world) {
	if n := len(w.grooms); n < 340 || n > 460 {
		t.Errorf("%d grooms, want about 400", n)
	}
	role := map[string]assessment.Role{}
	for _, p := range w.people {
		role[p.Key] = p.Role
	}
	second, corrected, skipped := 0, 0, 0
	for _, g := range w.grooms {
		if found := assessment.Problems(w.prog, &g.Groom, w.today); len(found) > 0 {
			t.Errorf("%s on %s: %v", g.Groom.Dog, g.Groom.Day, found)
		}
		if !role[g.Groom.Assessor].Judges() || g.Assessor.Key != g.Groom.Assessor {
			t.Errorf("%s on %s was assessed by a %s", g.Groom.Dog, g.Groom.Day, g.Assessor.Role)
		}
		if store.Digest(w.prog, &g.Groom) != g.Digest {
			t.Errorf("%s on %s: digest differs", g.Groom.Dog, g.Groom.Day)
		}
		if g.Groom.Keep == "" || g.Groom.Change == "" || g.Groom.Next == "" || g.Groom.Stop <= g.Groom.Start {
			t.Errorf("%s on %s: feedback or times are missing", g.Groom.Dog, g.Groom.Day)
		}
		if g.Groom.SecondOf != "" {
			second++
			if first, err := w.st.Groom(ctx, w.sc, g.Groom.SecondOf); err != nil || first.Assessor.Key == g.Assessor.Key || first.Groom.Dog != g.Groom.Dog {
				t.Errorf("second rating of %s: %v", g.Groom.Dog, err)
			}
		}
		if g.Groom.Supersedes != "" {
			corrected++
		}
		for _, m := range g.Groom.Marks {
			if m.NotApplicable {
				if skipped++; m.Reason == "" {
					t.Errorf("%s on %s: not applicable without a reason", g.Groom.Dog, g.Groom.Day)
				}
			}
		}
	}
	if second < 10 || second > 40 || corrected < 2 || corrected > 15 || skipped < 50 {
		t.Errorf("%d second ratings, %d corrections, %d not applicable", second, corrected, skipped)
	}
}

// dogs checks that a dog stays the same dog and is not groomed every day.
func dogs(t *testing.T, w *world) {
	type first struct {
		coat  string
		grams int
	}
	known := map[string]first{}
	last := map[string]assessment.Day{}
	for _, g := range w.grooms {
		d := g.Groom
		if g.SupersededBy != "" || d.SecondOf != "" {
			continue
		}
		if f, ok := known[d.Dog]; !ok {
			known[d.Dog] = first{d.Coat, d.Grams}
		} else if f.coat != d.Coat || d.Grams < f.grams*9/10 || d.Grams > f.grams*11/10 {
			t.Errorf("%s changed from %v to %s, %d g", d.Dog, f, d.Coat, d.Grams)
		}
		if before := last[d.Dog]; before != 0 && before-d.Day < 7 {
			t.Errorf("%s came back after %d days", d.Dog, before-d.Day)
		}
		last[d.Dog] = d.Day
	}
	if len(known) < 50 || len(known) > 70 {
		t.Errorf("%d dogs, want about 60", len(known))
	}
}

func incidents(t *testing.T, w *world) {
	count, told := map[string]int{}, 0
	by := map[string]int{}
	for _, g := range w.grooms {
		for _, in := range g.Groom.Incidents {
			count[in.Severity]++
			by[in.Attribution]++
			if in.SelfReported {
				told++
			}
		}
	}
	t.Log("incidents:", count, by, "self-reported:", told)
	if count["S0"] < 8 || count["S1"] < 5 || count["S2"] < 2 || count["S3"] != 1 || told == 0 || len(by) < 3 {
		t.Errorf("incidents %v, by %v, self-reported %d", count, by, told)
	}
	var open, released, serious int
	for _, a := range w.evidence {
		for _, h := range a.Holds {
			switch {
			case h.Open():
				open++
			case h.Severity == "S3":
				serious++
				if h.ReleasedBy == h.RecordedBy {
					t.Error("the S3 hold was released by the one who recorded it")
				}
				fallthrough
			default:
				released++
			}
		}
	}
	t.Log("holds:", open, "open,", released, "released")
	if open < 1 || serious != 1 {
		t.Errorf("%d open holds, %d released, of them %d S3", open, released, serious)
	}
}

func standings(t *testing.T, w *world) {
	count := map[assessment.State]int{}
	unproposed, awaiting := 0, 0
	for _, list := range w.standings {
		for _, st := range list {
			count[st.State]++
			if st.State == assessment.Eligible && st.Awaiting == nil {
				unproposed++
			}
			if st.State == assessment.Eligible && st.Awaiting != nil && st.Awaiting.ProposedBy != w.sc.Key {
				awaiting++
			}
		}
	}
	for _, s := range assessment.States {
		if count[s] == 0 {
			t.Errorf("no skill is %s", s)
		}
	}
	if unproposed < 3 || awaiting < 3 {
		t.Errorf("%d eligible and not proposed, %d waiting for the head groomer; want 3 of each", unproposed, awaiting)
	}
	for name, skill := range map[string]string{"Kwabena Thrale": "NE6", "Tamsin Orchardine": "CW5"} {
		if st := w.standing(name, skill); st.State != assessment.Lapsed {
			t.Errorf("%s of %s is %s, want Lapsed; signed %v", skill, name, st.State, st.SignOff)
		}
	}
	burned := false
	for _, skill := range []string{"CL2", "TH2", "DR2", "DR1", "NE1", "BA3"} {
		st := w.standing("Elowen Sparrowhay", skill)
		burned = burned || st.State == assessment.OnHold && st.WasSigned() && st.Holds[0].Severity == "S2"
	}
	if !burned {
		t.Error("no signed skill of Elowen Sparrowhay is on hold after an S2")
	}
	permissions := 0
	for _, a := range w.evidence {
		permissions += len(a.Permissions)
	}
	if permissions < 50 {
		t.Errorf("%d permissions are set", permissions)
	}
}

func (w *world) standing(name, skill string) assessment.Standing {
	for _, p := range w.people {
		if p.Name != name {
			continue
		}
		for _, st := range w.standings[p.Key] {
			if st.Skill.ID == skill {
				return st
			}
		}
	}
	return assessment.Standing{}
}

func signOffs(t *testing.T, w *world) {
	count := map[assessment.Decision]int{}
	for _, so := range w.signOffs {
		count[so.Decision]++
		if !so.Proposer.Role.Judges() || so.ProposedBy == so.Apprentice {
			t.Errorf("%s was proposed by %s", so.Skill, so.Proposer.Name)
		}
		if so.Decision != assessment.Awaiting && (so.DecidedBy == so.ProposedBy || !so.Decider.Role.Judges() || so.Reason == "") {
			t.Errorf("%s was decided by %q and proposed by %q", so.Skill, so.Decider.Name, so.Proposer.Name)
		}
	}
	t.Log("sign-offs:", count)
	if count[assessment.Declined] < 1 || count[assessment.Confirmed] < 40 {
		t.Errorf("sign-offs: %v", count)
	}
}

func drafts(t *testing.T, w *world) {
	list, err := w.st.Drafts(ctx, w.sc)
	if err != nil || len(list) != 2 {
		t.Fatalf("%d drafts, %v", len(list), err)
	}
	for _, d := range list {
		if d.Form.Get("apprentice") == "" || d.Form.Get("level.R1") == "" {
			t.Errorf("an empty draft: %v", d.Form)
		}
	}
}

func clockRuns(t *testing.T, w *world) {
	key, err := w.st.NewDraft(ctx, w.sc, nil, "")
	if err != nil {
		t.Fatal(err)
	}
	d, err := w.st.Draft(ctx, w.sc, key)
	if late := d.Updated.Sub(noon); err != nil || late < 0 || late > time.Minute {
		t.Errorf("after Build the clock stands %s after now; %v", late, err)
	}
}

// TestSameSeed builds twice and compares everything that is exported.
func TestSameSeed(t *testing.T) {
	a, b := build(t, 7, noon), build(t, 7, noon)
	if x, y := a.print(), b.print(); x != y {
		t.Error("the same seed and instant gave different records")
	}
}

// cutting checks that there are exercises of every sort and plans with and without
// something to change.
func cutting(t *testing.T, w *world) {
	list, err := w.st.Exercises(ctx, w.sc, "")
	if err != nil {
		t.Fatal(err)
	}
	n := map[string]int{}
	for _, x := range list {
		n["exercises"]++
		if x.Adopted > 0 {
			n["adopted"]++
		} else if x.Percent >= 80 {
			n["waiting"]++
		} else {
			n["failed"]++
		}
	}
	plans, err := w.st.CutPlans(ctx, w.sc)
	if err != nil {
		t.Fatal(err)
	}
	for _, g := range w.grooms {
		if plan, has := plans[g.Key]; has {
			n["plans"]++
			for _, f := range assessment.CheckCutPlan(w.prog, &plan, assessment.CutDogOf(&g.Groom)) {
				if f.Severity > assessment.Advice {
					n["to change"]++
				}
			}
		}
	}
	t.Log(n)
	if n["adopted"] < 3 || n["waiting"] < 2 || n["failed"] < 3 || n["plans"] < 20 || n["to change"] == 0 || n["to change"] > n["plans"]/3 {
		t.Errorf("exercises and cut plans: %v", n)
	}
}

func (w *world) print() string {
	var b strings.Builder
	for _, g := range w.grooms {
		fmt.Fprintln(&b, g.Key, g.Digest, g.Signed, g.Sum, g.Weight, g.Outcome, g.SupersededBy)
	}
	for _, so := range w.signOffs {
		fmt.Fprintf(&b, "%+v %+v\n", so.SignOff, so.ProposedAt)
	}
	list, _ := w.st.Exercises(ctx, w.sc, "")
	for _, x := range list {
		fmt.Fprintln(&b, x.Key, x.Questions, x.Answers, x.Percent, x.Adopted)
	}
	for _, p := range w.people {
		fmt.Fprintf(&b, "%+v\n", p)
		if a := w.evidence[p.Key]; a != nil {
			fmt.Fprintf(&b, "%v\n%v\n%v\n", a.Observations, a.Holds, a.Permissions)
		}
	}
	return b.String()
}

// TestOrders checks that every dog an apprentice may get has a brief.
func TestOrders(t *testing.T) {
	s := newSalon(ctx, nil, nil, 1, noon)
	for i := range s.dogs {
		for stage := 0.0; stage < 14; stage += 0.5 {
			for range 50 {
				m := s.matting(s.dogs[i], stage)
				o := s.orderFor(s.dogs[i], s.service(s.dogs[i], stage, m), m)
				if (o.agreed == "") != (o.why == "") {
					t.Fatalf("%q was agreed without a reason", o.agreed)
				}
			}
		}
	}
}
