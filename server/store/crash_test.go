package store

import (
	"bufio"
	"context"
	"fmt"
	"net/url"
	"time"

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
