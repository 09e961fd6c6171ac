package store

import (
	"bufio"
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"tablehand/assessment"
	"tablehand/curriculum"
)

const (
	crashDir        = "TABLEHAND_TEST_CRASH_DIR"
	crashAssessor   = "TABLEHAND_TEST_CRASH_ASSESSOR"
	crashApprentice = "TABLEHAND_TEST_CRASH_APPRENTICE"
)

// signForEver signs one groom after the other and writes the key of each as
// soon as Sign has returned.
func signForEver(dir, assessor, apprentice string, out *bufio.Writer) error {
	ctx := context.Background()
	s, err := Open(ctx, dir, Options{Now: func() time.Time { return begin }})
	if err != nil {
		return err
	}
	by, err := s.ScopeOf(ctx, assessor)
	if err != nil {
		return err
	}
	p := curriculum.Default()
	for i := 0; ; i++ {
		g := fullGroom(p, apprentice, assessor, assessment.DayOf(begin), fmt.Sprintf("Pebble %d", i), 8_000)
		draft, err := s.NewDraft(ctx, by, url.Values{"dog": {g.Dog}}, "")
		if err != nil {
			return err
		}
		key, err := s.Sign(ctx, by, Signing{Draft: draft, Version: 1, Digest: Digest(p, &g), Groom: g})
		if err != nil {
			return err
		}
		fmt.Fprintln(out, key)
		if err := out.Flush(); err != nil {
			return err
		}
	}
}

// A program that is killed in the middle of its work loses nothing it has
// reported: every groom whose key it wrote is there afterwards, whole.
func TestKilledWhileSigning(t *testing.T) {
	h := newHouse(t)
	assessor, apprentice := h.ines.Key, h.pia.Key
	perGroom := len(assessment.Derive(h.prog, new(fullGroom(h.prog, apprentice, assessor, h.today(), "Pebble", 8_000))))
	require.NoError(t, h.Close())
	self, err := os.Executable()
	require.NoError(t, err)
	var reported []string
	for round, enough := range []int{1, 7, 23} {
		child := exec.Command(self, "-test.run=^$")
		child.Env = append(os.Environ(), crashDir+"="+h.dir, crashAssessor+"="+assessor, crashApprentice+"="+apprentice)
		child.Stderr = os.Stderr
		out, err := child.StdoutPipe()
		require.NoError(t, err)
		require.NoError(t, child.Start())
		lines, n := bufio.NewScanner(out), 0
		for lines.Scan() { // on after the kill too: what was written before it counts
			reported = append(reported, lines.Text())
			if n++; n == enough {
				require.NoError(t, child.Process.Kill())
			}
		}
		require.Error(t, child.Wait(), "it ends only by being killed")
		require.GreaterOrEqual(t, n, enough)

		s, err := Open(h.ctx, h.dir, Options{Now: h.clock.Now})
		require.NoError(t, err)
		h.Store = s
		assert.Equal(t, "ok", h.text("PRAGMA integrity_check"))
		assert.Zero(t, h.count("SELECT count(*) FROM pragma_foreign_key_check"))
		sc := h.scope(assessor)
		for _, key := range reported {
			_, err := h.Groom(h.ctx, sc, key)
			assert.NoError(t, err, key)
		}
		grooms := h.rows("groom")
		assert.GreaterOrEqual(t, grooms, len(reported))
		assert.LessOrEqual(t, h.rows("draft"), round+1, "at most the one it was at, each time")
		assert.Zero(t, h.count("SELECT count(*) FROM groom WHERE (SELECT count(*) FROM rating WHERE groom_id = groom.id) <> 13"))
		assert.Zero(t, h.count("SELECT count(*) FROM groom WHERE (SELECT count(*) FROM observation WHERE groom_id = groom.id) <> ?", perGroom))
		assert.Equal(t, grooms, h.count("SELECT count(*) FROM record WHERE kind = 'groom.signed' AND subject IN (SELECT key FROM groom)"))
		assert.Zero(t, h.count("SELECT count(*) FROM draft WHERE key IN (SELECT key FROM groom)"), "signed and still a draft")
		require.NoError(t, s.Close())
	}
	assert.GreaterOrEqual(t, len(reported), 31)
}
