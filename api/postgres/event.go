package postgres

import (
	"context"
	"encoding/json"
	"time"

	"github.com/google/uuid"
	"github.com/jackc/pgx/v5"
)

// Event is one thing that happened in a workshop.
type Event struct {
	Position   int64
	Kind       string
	Subject    uuid.UUID
	RecordedAt time.Time
	Actor      uuid.UUID
	RequestID  string
	Reason     string
	Data       json.RawMessage
}

// Events lists what happened after a position of the feed, oldest first; the
// positions have no gaps.
func (r Reader) Events(ctx context.Context, after int64, limit int) ([]Event, error) {
	return many(ctx, r, pgx.RowToStructByPos[Event], `
		SELECT position, kind, subject, recorded_at, actor, request_id, reason, data
		FROM events
		WHERE workshop_id = $1 AND position > $2
		ORDER BY position
		LIMIT $3`, r.workshop, after, limit)
}
