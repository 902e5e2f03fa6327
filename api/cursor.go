package api

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

	"bentside/api/postgres"

	"github.com/google/uuid"
)

// cursors makes and reads page cursors: a place in a list, signed together with
// the list that it is a place in, so that it can be neither changed nor used
// elsewhere.
type cursors struct{ key []byte }

const (
	placeBytes = 8 + 16 // microseconds, id; the key of the order follows
	macBytes   = 16
)

func newCursors(key []byte) (cursors, error) {
	if len(key) == 0 {
		key = make([]byte, sha256.Size)
		if _, err := rand.Read(key); err != nil {
			return cursors{}, fmt.Errorf("draw a cursor key: %w", err)
		}
	}
	return cursors{key}, nil
}

// seal writes a place as a cursor of a list.
func (c cursors) seal(list string, p postgres.Place) string {
	b := make([]byte, 0, placeBytes+len(p.Key)+macBytes)
	b = binary.BigEndian.AppendUint64(b, uint64(p.CreatedAt.UnixMicro())) //nolint:gosec // the bits come back as they went
	b = append(append(b, p.ID[:]...), p.Key...)
	return base64.RawURLEncoding.EncodeToString(append(b, c.mac(list, b)...))
}

// open reads a cursor of a list; one that seal did not write for it is refused.
func (c cursors) open(list, cursor string) (postgres.Place, error) {
	b, err := base64.RawURLEncoding.Strict().DecodeString(cursor)
	end := len(b) - macBytes
	if err != nil || end < placeBytes || !hmac.Equal(b[end:], c.mac(list, b[:end])) {
		return postgres.Place{}, refuse(malformed, "the cursor was not made by this list: begin anew without it")
	}
	at := int64(binary.BigEndian.Uint64(b)) //nolint:gosec // the bits come back as they went
	return postgres.Place{CreatedAt: time.UnixMicro(at).UTC(), ID: uuid.UUID(b[8:placeBytes]), Key: string(b[placeBytes:end])}, nil
}

func (c cursors) mac(list string, place []byte) []byte {
	h := hmac.New(sha256.New, c.key)
	h.Write(place)     //nolint:errcheck // a hash never fails
	h.Write([]byte{0}) //nolint:errcheck // neither text holds a zero byte after the place's fixed part, so the two cannot run together
	h.Write([]byte(list))
	return h.Sum(nil)[:macBytes]
}

// listOf names the list that a request asks for: its workshop, path and
// filters.
func listOf(ctx context.Context) string {
	u := arrivalOf(ctx).url
	q := u.Query()
	q.Del("cursor")
	q.Del("limit")
	return actorOf(ctx).Workshop.String() + " " + u.Path + "?" + q.Encode()
}

// nextLink is the Link header that leads on from here: the same request with
// one parameter set anew.
func nextLink(ctx context.Context, parameter, value string) string {
	u := arrivalOf(ctx).url
	q := u.Query()
	q.Set(parameter, value)
	return fmt.Sprintf("<%s>; rel=\"next\"", &url.URL{Path: u.Path, RawQuery: q.Encode()})
}
