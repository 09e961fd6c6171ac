package exports

import (
	"fmt"
	"io"
	"runtime"
	"sync/atomic"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"

	"tablehand/curriculum"
)

const benchRatings = 100_000

var benchRows = func() []Rating {
	rows := make([]Rating, benchRatings)
	criteria := curriculum.Default().Rubric.Criteria
	for i := range rows {
		c := &criteria[i%len(criteria)]
		level := 2 + i%4
		rows[i] = Rating{Groom: fmt.Sprintf("G%05d", i/len(criteria)), Criterion: c.ID, Given: level, Effective: level, Weight: c.Weight}
		if i%50 == 0 {
			rows[i].Effective, rows[i].Lowered = 3, "An incident of severity S1 under it leaves at most L3."
		}
	}
	return rows
}()

// peak samples the heap while f runs and reports the highest value, MB.
func peak(b *testing.B, f func()) {
	runtime.GC()
	var top atomic.Uint64
	done, stopped := make(chan struct{}), make(chan struct{})
	go func() {
		defer close(stopped)
		var m runtime.MemStats
		for {
			runtime.ReadMemStats(&m)
			top.Store(max(top.Load(), m.HeapAlloc))
			select {
			case <-done:
				return
			case <-time.After(5 * time.Millisecond):
			}
		}
	}()
	f()
	close(done)
	<-stopped
	b.ReportMetric(float64(top.Load())/1e6, "peak-MB")
}

// BenchmarkWorkbook100k writes a whole workbook with 100,000 ratings.
func BenchmarkWorkbook100k(b *testing.B) {
	s := newSalon()
	s.ratings = benchRows
	s.use()
	peak(b, func() {
		for b.Loop() {
			if err := Write(io.Discard, s.book); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// BenchmarkWorkbookLimit is the least that the library needs for the same rows
// from memory, in the same columns and with the same packing.
func BenchmarkWorkbookLimit(b *testing.B) {
	titles := map[string]string{}
	for _, c := range curriculum.Default().Rubric.Criteria {
		titles[c.ID] = c.Title
	}
	peak(b, func() {
		for b.Loop() {
			if err := bareRatings(titles); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func bareRatings(titles map[string]string) error {
	f := excelize.NewFile()
	defer f.Close()
	f.SetZipWriter(fastZip)
	w, err := f.NewStreamWriter("Sheet1")
	if err != nil {
		return err
	}
	if err := w.SetRow("A1", []any{"Groom", "Criterion", "Criterion title", "Level given", "Level that counts", "Weight", "Applies", "Why lowered"}); err != nil {
		return err
	}
	for i := range benchRows {
		r := &benchRows[i]
		row := []any{r.Groom, r.Criterion, titles[r.Criterion], r.Given, r.Effective, r.Weight, "yes", nil}
		if r.Lowered != "" {
			row[7] = r.Lowered
		}
		if err := w.SetRow("A"+itoa(i+2), row); err != nil {
			return err
		}
	}
	if err := w.Flush(); err != nil {
		return err
	}
	return f.Write(io.Discard)
}

// BenchmarkWorkbookGrooms writes 100,000 ratings together with the 7,692
// grooms they belong to, formulas and all.
func BenchmarkWorkbookGrooms(b *testing.B) {
	s := newSalon()
	s.ratings = benchRows
	s.use()
	one := s.grooms[0]
	s.book.Grooms = func(yield func(Groom, error) bool) {
		for range benchRatings / 13 {
			if !yield(one, nil) {
				return
			}
		}
	}
	peak(b, func() {
		for b.Loop() {
			if err := Write(io.Discard, s.book); err != nil {
				b.Fatal(err)
			}
		}
	})
}
