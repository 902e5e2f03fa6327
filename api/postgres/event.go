package postgres

import (
	"context"
	"encoding/json"
	"time"

	"bentside/domain"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Event is one entry of a workshop's feed.
type Event struct {
	Position   int64
	Kind       domain.EventKind
	Subject    uuid.UUID
	RecordedAt time.Time
	Actor      uuid.UUID
	RequestID  string
	Reason     string
	Data       json.RawMessage
}

// Events returns the entries of the feed after a position, oldest first. Positions have no gaps.
// Entries are stored as they were written, so kinds that have been renamed since are translated
// here.
func (r Reader) Events(ctx context.Context, after int64, limit int) ([]Event, error) {
	return many(ctx, r, pgx.RowToStructByPos[Event], `
		SELECT position, CASE kind WHEN 'scope.rebased' THEN 'scope.moved' ELSE kind END,
			subject, recorded_at, actor, request_id, reason, data
		FROM events
		WHERE workshop_id = $1 AND position > $2
		ORDER BY position
		LIMIT $3`, r.workshop, after, limit)
}
