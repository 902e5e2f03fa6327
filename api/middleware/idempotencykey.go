package middleware

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"net/http"
	"strings"
	"unicode/utf8"

	"bentside/api/problem"
)

const (
	idempotencyHeader = "Idempotency-Key"
	maxKey            = 200
)

// parseKey parses an Idempotency-Key: a structured-field string (RFC 9651, 3.3.3) or bare text.
func parseKey(header string) (string, error) {
	key := strings.TrimSpace(header)
	if quoted, ok := strings.CutPrefix(key, `"`); ok {
		if key, ok = unquote(quoted); !ok {
			return "", problem.RefuseField("#/header/"+idempotencyHeader,
				"must end with its closing quote")
		}
	}
	if key == "" || len(key) > maxKey || !visible(key) {
		return "", problem.RefuseField("#/header/"+idempotencyHeader,
			"must be 1 to %d visible ASCII characters", maxKey)
	}
	return key, nil
}

// unquote parses a structured-field string from after its opening quote.
func unquote(s string) (string, bool) {
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch s[i] {
		case '"':
			return b.String(), i == len(s)-1
		case '\\':
			i++
			if i == len(s) || (s[i] != '"' && s[i] != '\\') {
				return "", false
			}
		}
		b.WriteByte(s[i])
	}
	return "", false
}

func visible(s string) bool {
	for _, r := range s {
		if r < 0x20 || r >= 0x7f || r == utf8.RuneError {
			return false
		}
	}
	return true
}

// fingerprint returns the SHA-256 of method, path, query and canonical body, in which the order of
// members and white space do not count.
func fingerprint(r *http.Request) ([sha256.Size]byte, error) {
	body, err := json.Marshal(bodyOf(r.Context()))
	if err != nil {
		return [sha256.Size]byte{}, fmt.Errorf("write the body anew: %w", err)
	}
	return sha256.Sum256(fmt.Appendf(nil, "%s\n%s\n%s", r.Method, r.URL.RequestURI(), body)), nil
}
