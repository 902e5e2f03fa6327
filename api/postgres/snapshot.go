package postgres

import (
	"context"
	"fmt"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Snapshot reads a workshop as it stood at one moment, whatever is written meanwhile.
type Snapshot struct {
	Reader
	// At is the moment, with the resolution of stored instants.
	At time.Time
	// Position is that of the newest event of the feed that the snapshot holds. Whatever changed
	// since has a higher one.
	Position int64
}

// Snapshot calls read with a snapshot of a workshop as it stands now. What follows from it is
// computed after Snapshot has returned, when it holds no connection any more.
func (s *Store) Snapshot(
	ctx context.Context, workshop uuid.UUID, now time.Time, read func(Snapshot) error,
) error {
	begin := fmt.Sprintf(
		"BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY; SELECT set_config('app.workshop', '%s', true)",
		workshop,
	)
	conn, err := s.acquire(ctx)
	if err != nil {
		return err
	}
	defer conn.Release()
	tx, err := conn.BeginTx(ctx, pgx.TxOptions{BeginQuery: begin})
	if err != nil {
		return translate(err)
	}
	defer tx.Rollback(context.WithoutCancel(ctx)) //nolint:errcheck // it has written nothing
	snap := Snapshot{
		Reader: Reader{workshop: workshop, tx: tx}, At: now.UTC().Truncate(time.Microsecond),
	}
	if snap.Position, err = snap.FeedPosition(ctx); err != nil {
		return err
	}
	return outOfReach(read(snap))
}

// FeedPosition returns the position of the newest event of the feed.
func (r Reader) FeedPosition(ctx context.Context) (int64, error) {
	return one(ctx, r, "workshop", pgx.RowTo[int64], `
		SELECT feed_position
		FROM heads
		WHERE workshop_id = $1`, r.workshop)
}

// LaterEvent is the first event after a snapshot that changed what was computed from it.
type LaterEvent struct {
	Position   int64
	Kind       domain.EventKind
	Subject    uuid.UUID
	RecordedAt time.Time
}

// Rests says which events change what was computed: those of some kinds, wherever they happen, and
// those of other kinds only where they are about one instrument, about any that a job in the queue
// is on, or about parts.
type Rests struct {
	On           []domain.EventKind
	Instrument   uuid.UUID
	OnInstrument []domain.EventKind
	OnQueued     []domain.EventKind
	// Parts are those that were looked for. An event is about parts where it is about one of them or
	// an order that ever named one, a part that serves materials or an order made for a task.
	Parts   []uuid.UUID
	OnParts []domain.EventKind
}

// FirstMove returns the first event after a position of the feed that changes what rests on it, or
// nil where nothing has moved.
func (r Reader) FirstMove(ctx context.Context, after int64, rests Rests) (*LaterEvent, error) {
	list, err := many(ctx, r, pgx.RowToStructByPos[LaterEvent], `
		SELECT position, kind, subject, recorded_at
		FROM events e
		WHERE workshop_id = $1 AND position > $2 AND (
			kind = ANY ($3::text[])
			OR kind = ANY ($4::text[]) AND (subject = $5 OR data ->> 'instrument' = $5::text)
			OR kind = ANY ($6::text[]) AND EXISTS (
				SELECT FROM jobs j
				WHERE j.workshop_id = $1 AND j.state <> 'closed'
				AND (j.instrument_id = subject OR j.instrument_id::text = data ->> 'instrument'))
			OR kind = ANY ($7::text[]) AND (subject = ANY ($8::uuid[]) OR data ? 'serves' OR EXISTS (
				SELECT FROM events x
				CROSS JOIN LATERAL jsonb_array_elements(
					CASE WHEN x.kind IN ('order.placed', 'order.changed') THEN x.data -> 'lines' END) AS line
				WHERE x.workshop_id = $1 AND x.subject = e.subject
				AND (line ? 'operation' OR (line ->> 'part')::uuid = ANY ($8::uuid[])))))
		ORDER BY position
		LIMIT 1`,
		r.workshop, after, rests.On, rests.OnInstrument, rests.Instrument, rests.OnQueued,
		rests.OnParts, orEmpty(rests.Parts))
	if err != nil || len(list) == 0 {
		return nil, err
	}
	return &list[0], nil
}
