package server

import (
	"fmt"
	"net/http"
	"net/url"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
	"tablehand/server/store"
)

// exercise begins an exercise of an apprentice's and returns its key.
func (s *salon) exercise(login string) string {
	sc, err := s.store.ScopeOf(s.Context(), s.keys[login])
	require.NoError(s, err)
	to, err := s.store.BeginExercise(s.Context(), sc, "")
	require.NoError(s, err)
	return strings.TrimPrefix(to, "/exercises/")
}

// answers are a form of an exercise with so many right answers.
func (r *reader) answers(key string, right int) (url.Values, store.Exercise) {
	x, err := r.s.store.Exercise(r.s.Context(), r.scope(), key)
	require.NoError(r.s, err)
	form := url.Values{"client_id": {"answers of " + key}}
	for i, m := range assessment.MarkExercise(x.Programme, x.Questions, nil).Marked {
		at := slices.IndexFunc(m.Choices, func(c assessment.CutChoice) bool { return c.Right == (i < right) })
		form.Set(fmt.Sprintf("q.%d", i+1), strconv.Itoa(at+1))
	}
	return form, x
}

// The whole way: an apprentice answers, the program marks, and an assessor lets the
// result stand beside the observations of the cut plan.
func TestBladeChoice(t *testing.T) {
	s := newSalon(t)
	jory, wren, hazel := s.signedIn("jory"), s.signedIn("wren"), s.signedIn("hazel")
	_, page := jory.get("/exercises")
	assert.Contains(t, page, "what it leaves against the lie", "what the stamp means here is said")
	status, body, at := jory.post("/exercises", hidden(page))
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get(at)
	form, x := jory.answers(strings.TrimPrefix(at, "/exercises/"), 8)
	assert.Equal(t, 10, strings.Count(main(page), "<fieldset"))
	for i := range x.Questions {
		for k, o := range x.Questions[i].Options {
			assert.Contains(t, page, fmt.Sprintf(`name="q.%d" value="%d"`, i+1, k+1))
			assert.Contains(t, page, ">"+o.Words(x.Programme.Cutting)+"<")
		}
	}
	assert.NotContains(t, page, "seed", "what they were drawn from stays here")

	half := url.Values{"q.1": form["q.1"], "q.2": {"99"}}
	status, body, _ = jory.post(at, half)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Equal(t, 9*2, strings.Count(body, "choose an answer."), "each is told above and beside")
	assert.Contains(t, body, fmt.Sprintf(`name="q.1" value="%s" checked`, form.Get("q.1")), "what was chosen stays")
	for _, m := range assessment.MarkExercise(x.Programme, x.Questions, nil).Marked {
		for _, c := range m.Choices {
			assert.NotContains(t, strings.ReplaceAll(body, "&#39;", "'"), c.Why, "nothing is told before the end")
		}
	}

	for _, r := range []*reader{wren, hazel} {
		status, _, _ = r.post(at, form)
		assert.Contains(t, []int{http.StatusNotFound, http.StatusForbidden}, status)
	}
	_, page = hazel.get(at)
	assert.Contains(t, page, "not answered yet")
	assert.NotContains(t, page, `name="q.1"`)

	status, body, to := jory.post(at, form)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	assert.Equal(t, at, to)
	_, page = jory.get(at)
	assert.Contains(t, page, "8 of 10 right, 80 %: passed")
	assert.Contains(t, page, "Practice. It was marked by the program")
	assert.NotContains(t, page, "Let it stand</button>", "nobody lets their own stand")
	for _, m := range assessment.MarkExercise(x.Programme, x.Questions, x.Answers).Marked {
		for _, c := range m.Choices {
			assert.Contains(t, strings.ReplaceAll(page, "&#39;", "'"), c.Why, "every answer is explained")
		}
	}
	changed := url.Values{}
	for name := range form {
		changed.Set(name, "1")
	}
	status, body, _ = jory.post(at, changed)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "answered already")
	status, _, to = jory.post(at, form)
	assert.Equal(t, [2]any{http.StatusSeeOther, at}, [2]any{status, to}, "a repeat gets the first answer")

	skill := "/apprentices/" + s.keys["jory"] + "/skills/CL1"
	_, page = hazel.get(skill)
	assert.NotContains(t, page, "Knowledge check")
	_, page = hazel.get("/exercises")
	assert.Contains(t, page, "nobody has let them stand yet")
	_, page = hazel.get(at)
	adopt := hidden(page)
	status, body, _ = hazel.post(at+"/adopt", adopt)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "Say how you know")
	adopt.Set("how", "asked")
	status, body, _ = hazel.post(at+"/adopt", adopt)
	require.Equal(t, http.StatusSeeOther, status, main(body))
	_, page = jory.get(at)
	assert.Contains(t, page, "It stands as a knowledge check. Hazel, 20 May 2026")
	_, page = hazel.get(skill)
	assert.Contains(t, page, "it stands beside the observations and is not one of them")
	assert.Regexp(t, regexp.MustCompile(`(?s)80 %.*`), page)
	assert.Contains(t, page, "/exercises?apprentice="+s.keys["jory"])
	_, page = hazel.get("/exercises")
	assert.NotContains(t, page, "nobody has let them stand yet")
	for login, n := range map[string]int{"jory": 1, "wren": 0, "lark": 1, "rowan": 1} {
		_, page = s.signedIn(login).get("/exercises")
		assert.Equal(t, n, strings.Count(page, at), login)
	}
}

func TestNobodyDrawsAgainForEasierQuestions(t *testing.T) {
	s := newSalon(t)
	jory := s.signedIn("jory")
	_, _, first := jory.post("/exercises", url.Values{"client_id": {"one"}})
	_, page := jory.get("/exercises")
	assert.Contains(t, page, "Go on")
	_, _, second := jory.post("/exercises", url.Values{"client_id": {"two"}})
	assert.Equal(t, first, second)
}

func TestNoTableOfBlades(t *testing.T) {
	s := newSalon(t)
	rowan, jory := s.signedIn("rowan"), s.signedIn("jory")
	_, _, draft := rowan.post("/grooms/new", url.Values{"apprentice": {s.keys["jory"]}, "day": {"2026-05-20"}, "dog": {"Moss 2"}, "service": {"full"}})
	require.NoError(t, s.store.Publish(t.Context(), rowan.scope(), plainProgramme(t)))
	for _, at := range []string{"/exercises", draft + "/cut-plan"} {
		status, page := rowan.get(at)
		assert.Equal(t, http.StatusOK, status)
		assert.Contains(t, page, "no table of blades and combs")
	}
	status, body, _ := jory.post("/exercises", url.Values{"client_id": {"x"}})
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "no table of blades")
	status, body, _ = rowan.post(draft+"/cut-plan", nil)
	assert.Equal(t, http.StatusUnprocessableEntity, status)
	assert.Contains(t, body, "no table of blades")
	_, page := rowan.get(draft)
	assert.NotContains(t, page, "cut_plan")
	_, page = rowan.get("/programme")
	assert.NotContains(t, page, "Blades and combs")
}

// plainProgramme is the default programme without a table of blades, as the next
// version.
func plainProgramme(t *testing.T) *curriculum.Programme {
	t.Helper()
	p := curriculum.Default()
	text := strings.Replace(string(p.Source()), fmt.Sprintf("\nversion: %d\n", p.Version), fmt.Sprintf("\nversion: %d\n", p.Version+1), 1)
	from, to := strings.Index(text, "\ncutting:\n"), strings.Index(text, "\nunits:\n")
	require.True(t, from > 0 && to > from)
	plain, err := assessment.ReadProgramme("plain.yaml", []byte(text[:from]+text[to:]))
	require.NoError(t, err)
	return plain
}
