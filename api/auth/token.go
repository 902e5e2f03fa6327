package auth

import (
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"io"
	"strings"
)

// Prefix starts every token, so that one that leaks into a text can be found.
const Prefix = "bentside_"

const secretBytes = 32

// NewSecret draws a token from a source of random bytes and returns it with the hash to keep.
func NewSecret(random io.Reader) (secret string, hash [sha256.Size]byte, err error) {
	raw := make([]byte, secretBytes)
	if _, err := io.ReadFull(random, raw); err != nil {
		return "", hash, fmt.Errorf("draw a token: %w", err)
	}
	secret = Prefix + base64.RawURLEncoding.EncodeToString(raw)
	return secret, Hash(secret), nil
}

// Hash returns what is kept of a token.
func Hash(secret string) [sha256.Size]byte { return sha256.Sum256([]byte(secret)) }

// FromHeader takes the token out of an Authorization header; false where the header is missing or
// of another scheme.
func FromHeader(header string) (string, bool) {
	scheme, secret, found := strings.Cut(header, " ")
	secret = strings.TrimSpace(secret)
	if !found || !strings.EqualFold(scheme, "Bearer") || secret == "" {
		return "", false
	}
	return secret, true
}
