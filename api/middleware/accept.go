package middleware

import (
	"context"
	"mime"
	"strconv"
	"strings"

	"bentside/api/problem"
)

// Negotiate returns which of the offered media types the request of a context accepts most, the
// first offered where it has no preference (RFC 9110, section 12.5.1), and a problem where it
// accepts none.
func Negotiate(ctx context.Context, offered ...string) (string, error) {
	accept := strings.Join(arrivalOf(ctx).accept, ",")
	if strings.TrimSpace(accept) == "" {
		return offered[0], nil
	}
	best, most := "", 0.0
	for _, offer := range offered {
		if q := quality(accept, offer); q > most {
			best, most = offer, q
		}
	}
	if best == "" {
		return "", problem.Refuse(problem.NotAcceptable, "Accept must allow %s, not %q",
			strings.Join(offered, " or "), accept)
	}
	return best, nil
}

// quality returns how much an Accept header wants a media type, 0 for not at all. The most specific
// range that the type is in decides; what can't be read is passed over.
func quality(accept, mediaType string) float64 {
	group, _, _ := strings.Cut(mediaType, "/")
	specific := map[string]int{"*/*": 1, group + "/*": 2, mediaType: 3}
	found, q := 0, 0.0
	for part := range strings.SplitSeq(accept, ",") {
		name, params, err := mime.ParseMediaType(part)
		if err != nil || specific[name] <= found {
			continue
		}
		found, q = specific[name], 1
		if text, given := params["q"]; given {
			if q, err = strconv.ParseFloat(text, 64); err != nil {
				q = 0
			}
		}
	}
	return q
}
