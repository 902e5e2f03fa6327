package postgres_test

import (
	"errors"
	"fmt"
	"testing"
	"time"

	"bentside/api/postgres"
	"bentside/api/postgres/pgtest"
	"bentside/domain/catalogue"
	"bentside/domain/job"

	"github.com/google/uuid"
	"github.com/shopspring/decimal"
)

func TestTheQueueIsReadWithEachJobsOwnTasks(t *testing.T) {
	t.Parallel()
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 1)
	finished := morning.Add(-time.Hour)
	second, third := someJob(newID(t), 2), someJob(newID(t), 3)
	third.Tasks = nil // a job may have nothing to do
	write(t, s, actorOf(workshopA), func(tx *postgres.Tx) error {
		return errors.Join(addJob(t, tx, second), addJob(t, tx, third),
			book(
				t, tx, second.ID,
				job.Progress{
					Operation: "OP-02", Minutes: 180, Finished: true,
					RecordedAt: finished,
				},
			))
	})
	second.Tasks[1].Left, second.Tasks[1].FinishedAt = decimal.Zero, &finished
	got := must(s.Read(workshopA).Jobs(t.Context(), false, postgres.Whole))(t)
	var described []string
	for _, j := range got[1:] { // after the fixture's
		described = append(described, describe(j.Value))
	}
	diff(t, "the queue", described, []string{describe(second), describe(third)})
	for _, j := range got {
		diff(
			t, "the job by itself",
			describe(must(s.Read(workshopA).Job(t.Context(), j.Value.ID))(t).Value),
			describe(j.Value),
		)
	}
}

func TestAJobThatComesInWhileTheQueueIsReadConfusesNoTasks(t *testing.T) {
	t.Parallel()
	const jobs = 40
	db := pgtest.New(t)
	fillAll(t, asOwner(t, db))
	s := openStore(t, db, 2)
	added := make(chan error, 1)
	go func() {
		var err error
		for n := range jobs {
			err = errors.Join(err, s.Write(t.Context(), actorOf(workshopA), morning, func(
				tx *postgres.Tx,
			) error {
				return addJob(t, tx, someJob(newID(t), n+2))
			}))
		}
		added <- err
	}()
	for last := 0; last < jobs+1; {
		got := must(s.Read(workshopA).Jobs(t.Context(), false, postgres.Whole))(t)
		if n := len(got[0].Value.Tasks); n != 1 {
			t.Fatalf("of %d jobs the first, which has one task, came with %d", len(got), n)
		}
		for _, j := range got[1:] {
			if want := someJob(j.Value.ID, j.Value.QueuePlace); describe(j.Value) != describe(want) {
				t.Fatalf("of %d jobs\n got %s\nwant %s", len(got), describe(j.Value), describe(want))
			}
		}
		last = len(got)
		select {
		case err := <-added:
			if err != nil {
				t.Fatal(err)
			}
			added <- nil
		default:
		}
	}
}

// someJob returns a job at a place in the queue, with as many tasks as the number of its place.
func someJob(id uuid.UUID, place int) job.Job {
	j := job.Job{ID: id, Instrument: rowID(13), Scope: id, AcceptedOn: someDay, QueuePlace: place}
	for n := range place {
		hours := decimal.New(int64(1000*place+n), -2)
		j.Tasks = append(
			j.Tasks,
			job.Task{
				Operation: catalogue.Code(fmt.Sprintf("OP-%02d", n+1)), Planned: hours, Left: hours,
			},
		)
	}
	return j
}

// addJob adds a job with a scope of the same id.
func addJob(tb testing.TB, tx *postgres.Tx, j job.Job) error {
	tb.Helper()
	return errors.Join(
		tx.AddScope(tb.Context(), someDecision(j.Scope)), tx.AddJob(tb.Context(), j, nil),
	)
}

// book records progress on a task of a job as it stands in tx.
func book(tb testing.TB, tx *postgres.Tx, jobID uuid.UUID, p job.Progress) error {
	tb.Helper()
	j, err := tx.LockJob(tb.Context(), jobID)
	if err != nil {
		return err
	}
	p.ID, p.On = newID(tb), someDay
	now, _, err := j.Value.Book(&catalogue.Catalogue{}, p, someDay)
	return errors.Join(err, tx.AddProgress(tb.Context(), now, p, j.Version))
}

// describe renders a job with every figure in it, written so that equal figures read alike.
func describe(j job.Job) string {
	s := fmt.Sprintf("%v of %v accepted %v at %d:", j.ID, j.Instrument, j.AcceptedOn, j.QueuePlace)
	for _, t := range j.Tasks {
		s += fmt.Sprintf(" %s %v of %v", t.Operation, t.Left, t.Planned)
		if t.FinishedAt != nil {
			s += " finished " + t.FinishedAt.String()
		}
	}
	return s
}
