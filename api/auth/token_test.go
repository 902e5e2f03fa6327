package auth_test

import (
	"bytes"
	"strings"
	"testing"

	"bentside/api/auth"
)

func TestATokenIsKnownByItsHashAndFoundByItsPrefix(t *testing.T) {
	t.Parallel()
	secret, hash, err := auth.NewSecret(bytes.NewReader(bytes.Repeat([]byte{7}, 32)))
	if err != nil {
		t.Fatal(err)
	}
	if hash != auth.Hash(secret) {
		t.Error("the hash returned is not the hash of the secret")
	}
	if !strings.HasPrefix(secret, auth.Prefix) || len(secret) != len(auth.Prefix)+43 {
		t.Errorf("secret %q: want prefix %s and 43 characters for 256 bits", secret, auth.Prefix)
	}
}

func TestAShortSourceOfRandomnessGivesNoToken(t *testing.T) {
	t.Parallel()
	if secret, _, err := auth.NewSecret(bytes.NewReader(make([]byte, 31))); err == nil {
		t.Errorf("31 random bytes gave the token %q", secret)
	}
}

func TestOnlyABearerHeaderHoldsAToken(t *testing.T) {
	t.Parallel()
	for header, want := range map[string]string{
		"Bearer abc":   "abc",
		"bearer  abc ": "abc", // RFC 9110: the scheme is case-insensitive
		"Basic abc":    "",
		"Bearer":       "",
		"Bearer ":      "",
		"":             "",
	} {
		got, ok := auth.FromHeader(header)
		if got != want || ok != (want != "") {
			t.Errorf("FromHeader(%q) = %q, %v; want %q", header, got, ok, want)
		}
	}
}
