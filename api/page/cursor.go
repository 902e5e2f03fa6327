package page

import (
	"context"
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"encoding/binary"
	"fmt"
	"net/url"
	"time"

	"bentside/api/middleware"
	"bentside/api/postgres"
	"bentside/api/problem"

	"github.com/google/uuid"
)

// Cursors makes and reads page cursors. A cursor is a position in a list, signed together with the
// list, so that it can be neither changed nor used for another list.
type Cursors struct{ key []byte }

const (
	placeBytes = 8 + 16 // microseconds, id; the key of the order follows
	macBytes   = 16
)

// NewCursors makes Cursors that sign with a key; an empty key means a random one, with which
// cursors end with the process.
func NewCursors(key []byte) (Cursors, error) {
	if len(key) == 0 {
		key = make([]byte, sha256.Size)
		if _, err := rand.Read(key); err != nil {
			return Cursors{}, fmt.Errorf("draw a cursor key: %w", err)
		}
	}
	return Cursors{key}, nil
}

// seal returns the cursor for a position in a list.
func (c Cursors) seal(list string, p postgres.Place) string {
	b := make([]byte, 0, placeBytes+len(p.Key)+macBytes)
	at := uint64(p.CreatedAt.UnixMicro()) //nolint:gosec // open converts back the same bits
	b = binary.BigEndian.AppendUint64(b, at)
	b = append(append(b, p.ID[:]...), p.Key...)
	return base64.RawURLEncoding.EncodeToString(append(b, c.mac(list, b)...))
}

// open returns the position of a cursor; it refuses one that seal did not make for this list.
func (c Cursors) open(list, cursor string) (postgres.Place, error) {
	b, err := base64.RawURLEncoding.Strict().DecodeString(cursor)
	end := len(b) - macBytes
	if err != nil || end < placeBytes || !hmac.Equal(b[end:], c.mac(list, b[:end])) {
		return postgres.Place{}, problem.Refuse(problem.Malformed, "the cursor is not one of this list").
			At("#/query/cursor", "must come from this list with these filters, unchanged; "+
				"leave it out to start again")
	}
	at := int64(binary.BigEndian.Uint64(b)) //nolint:gosec // open converts back the same bits
	return postgres.Place{
		CreatedAt: time.UnixMicro(at).UTC(), ID: uuid.UUID(b[8:placeBytes]),
		Key: string(b[placeBytes:end]),
	}, nil
}

func (c Cursors) mac(list string, place []byte) []byte {
	h := hmac.New(sha256.New, c.key)
	h.Write(place) //nolint:errcheck // a hash never fails
	// Neither text holds a zero byte after the fixed part, so the two cannot run together.
	h.Write([]byte{0}) //nolint:errcheck // a hash never fails
	h.Write([]byte(list))
	return h.Sum(nil)[:macBytes]
}

// listOf returns a name for the list that a request asks for: its workshop, path and filters.
func listOf(ctx context.Context) string {
	u := middleware.URL(ctx)
	q := u.Query()
	q.Del("cursor")
	q.Del("limit")
	return middleware.Actor(ctx).Workshop.String() + " " + u.Path + "?" + q.Encode()
}

// Link returns the Link header (RFC 8288) to the next page: the same request with one parameter
// changed.
func Link(ctx context.Context, parameter, value string) string {
	u := middleware.URL(ctx)
	q := u.Query()
	q.Set(parameter, value)
	return fmt.Sprintf("<%s>; rel=\"next\"", &url.URL{Path: u.Path, RawQuery: q.Encode()})
}
