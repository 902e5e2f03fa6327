package postgres_test

import (
	"errors"
	"slices"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// BenchmarkReadInstrument compares a read under row-level security, which sends the workshop and
// the query in one batch, with the bare query as a role that row-level security doesn't bind. The
// two alternate and their medians are compared, so that the ratio holds on a busy machine.
func BenchmarkReadInstrument(b *testing.B) {
	b.Run("instruments=1000", func(b *testing.B) {
		const n = 1000
		db := pgtest.New(b)
		s := openStore(b, db, 1)
		a := found(b, s)
		ids := make([]uuid.UUID, n)
		write(b, s, a, func(tx *postgres.Tx) (err error) {
			for i := range ids {
				ids[i] = newID(b)
				err = errors.Join(err, tx.AddInstrument(b.Context(), someInstrument(ids[i])))
			}
			return err
		})
		bare := connect(b, db.Owner)
		mustExec(b, bare, `ANALYZE instruments`)
		var bound, unbound []time.Duration
		for b.Loop() {
			id := ids[len(bound)%n]
			start := time.Now()
			if _, err := s.Read(a.Workshop).Instrument(b.Context(), id); err != nil {
				b.Fatal(err)
			}
			middle := time.Now()
			rows, err := bare.Query(b.Context(), postgres.OneInstrument, a.Workshop, id)
			if err != nil {
				b.Fatal(err)
			}
			if _, err := pgx.CollectExactlyOneRow(rows, postgres.ScanInstrument); err != nil {
				b.Fatal(err)
			}
			bound, unbound = append(bound, middle.Sub(start)), append(unbound, time.Since(middle))
		}
		b.ReportMetric(median(bound), "p50-ns/read")
		b.ReportMetric(median(unbound), "p50-ns/bare")
		b.ReportMetric(median(bound)/median(unbound), "read/bare")
	})
}

func median(d []time.Duration) float64 {
	slices.Sort(d)
	return float64(d[len(d)/2].Nanoseconds())
}
