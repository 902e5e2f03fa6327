package etag

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"bentside/api/problem"
	"bentside/domain"
)

// Version returns the strong ETag of a version: "v17".
func Version(version int64) string {
	return `"v` + strconv.FormatInt(version, 10) + `"`
}

// PlainVersion returns the strong ETag of a version shown without the parts that the role may not
// see: "v17-plain". No update accepts it, since it would drop what was not shown.
func PlainVersion(version int64) string {
	return `"v` + strconv.FormatInt(version, 10) + `-plain"`
}

// Digest returns the strong ETag of something that is computed and not stored: a hash of its JSON.
func Digest(body any) (string, error) {
	b, err := json.Marshal(body)
	if err != nil {
		return "", fmt.Errorf("write the answer as JSON: %w", err)
	}
	sum := sha256.Sum256(b)
	return `"h` + hex.EncodeToString(sum[:16]) + `"`, nil
}

// Derived returns the strong ETag of a version whose rendering depends on other things too:
// "v17.0f3a…". An update compares the version only.
func Derived(version int64, body any) (string, error) {
	digest, err := Digest(body)
	if err != nil {
		return "", err
	}
	return `"v` + strconv.FormatInt(version, 10) + "." + strings.TrimPrefix(digest, `"h`), nil
}

// ParseIfMatch returns the version that an If-Match header names. A tag that is not ours, is weak,
// or is a PlainVersion matches nothing, so it is Stale. An update must name a version, so * is
// refused.
func ParseIfMatch(header string) (int64, error) {
	tag := strings.TrimSpace(header)
	if tag == "*" {
		return 0, problem.Refuse(problem.PreconditionRequired,
			"If-Match: * names no version; send the ETag of the version that was read")
	}
	opaque, rest, ok := cutTag(tag)
	if !ok || rest != "" {
		return 0, problem.RefuseField("#/header/If-Match",
			`must be one entity tag in quotes, such as "v17"`)
	}
	digits, ours := strings.CutPrefix(strings.TrimSuffix(opaque, `"`), `"v`)
	digits, _, _ = strings.Cut(digits, ".")
	version, err := strconv.ParseInt(digits, 10, 64)
	if !ours || err != nil || version < 1 || strconv.FormatInt(version, 10) != digits {
		return 0, domain.Refuse(domain.Stale,
			"%s is not the tag of a version that can be changed; read it again", tag)
	}
	return version, nil
}

// Matches reports whether an If-None-Match header contains the tag, by weak comparison (RFC 9110,
// 13.1.2). A header that cannot be parsed matches nothing.
func Matches(header, tag string) bool {
	rest := strings.TrimSpace(header)
	if rest == "*" {
		return true
	}
	for rest != "" {
		opaque, after, ok := cutTag(rest)
		if !ok {
			return false
		}
		if strings.TrimPrefix(opaque, "W/") == strings.TrimPrefix(tag, "W/") {
			return true
		}
		rest = strings.TrimLeft(after, ", \t")
	}
	return false
}

// cutTag splits the first entity tag off a list: an optional W/, then visible characters in quotes
// (RFC 9110, 8.8.3).
func cutTag(list string) (tag, rest string, ok bool) {
	start := 0
	if strings.HasPrefix(list, "W/") {
		start = 2
	}
	if start >= len(list) || list[start] != '"' {
		return "", "", false
	}
	for i := start + 1; i < len(list); i++ {
		switch c := list[i]; {
		case c == '"':
			return list[:i+1], list[i+1:], true
		case c < 0x21 || c == 0x7f:
			return "", "", false
		}
	}
	return "", "", false
}
