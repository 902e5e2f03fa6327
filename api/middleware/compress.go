package middleware

import (
	"net/http"

	"github.com/klauspost/compress/gzhttp"
)

// minCompressed is the shortest answer in bytes that is compressed: shorter ones fit in a packet.
const minCompressed = 1400

// Compressed answers with gzip where a client accepts it and it saves something: not for short
// answers, and not for PDF, whose content is compressed already.
//
// The ETag is the same with and without: it stands for the version of what is shown, which If-Match
// names, and no bytes of two answers can be mixed up, since there are neither caches (no-store) nor
// ranges. The length betrays no secret (BREACH): no browser sends a bearer token by itself, so
// nobody can make a victim's ask.
func Compressed(h http.Handler) (http.Handler, error) {
	wrap, err := gzhttp.NewWrapper(
		gzhttp.MinSize(minCompressed), gzhttp.EnableZstd(false),
		gzhttp.ContentTypes([]string{
			"application/json", "application/problem+json", "text/plain", "text/csv",
		}),
	)
	if err != nil {
		return nil, err
	}
	return wrap(h), nil
}
