package api

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strconv"
	"strings"

	"bentside/domain"
)

// view is which rendering of a thing a role is shown. The tag covers it: who is
// shown less must not be able to save what they did not see.
type view string

const (
	fullView  view = ""
	plainView view = "-plain" // without money
)

// versionTag is the strong ETag of a version as shown in a view: "v17".
func versionTag(version int64, v view) string {
	return `"v` + strconv.FormatInt(version, 10) + string(v) + `"`
}

// digestTag is the strong ETag of something worked out and not stored: it
// follows from the bytes.
func digestTag(body any) (string, error) {
	b, err := json.Marshal(body)
	if err != nil {
		return "", fmt.Errorf("write the answer as JSON: %w", err)
	}
	sum := sha256.Sum256(b)
	return `"h` + hex.EncodeToString(sum[:16]) + `"`, nil
}

// derivedTag is the strong ETag of a version of something whose rendering
// follows from other things too: "v17.0f3a…". An update compares the version
// and leaves the rest aside.
func derivedTag(version int64, body any) (string, error) {
	digest, err := digestTag(body)
	if err != nil {
		return "", err
	}
	return `"v` + strconv.FormatInt(version, 10) + "." + strings.TrimPrefix(digest, `"h`), nil
}

// versionIn reads an If-Match header that names one version of the full view.
// A tag that is not one of ours, is weak, or belongs to another view matches
// nothing, so it is Stale; * names no version, and an update must.
func versionIn(header string) (int64, error) {
	tag := strings.TrimSpace(header)
	if tag == "*" {
		return 0, refuse(preconditionRequired, "* names no version: send If-Match with the ETag of the version that was read")
	}
	opaque, rest, ok := cutTag(tag)
	if !ok || rest != "" {
		return 0, refuseField("#/header/If-Match", `must be one entity tag in quotes, such as "v17"`)
	}
	digits, ours := strings.CutPrefix(strings.TrimSuffix(opaque, `"`), `"v`)
	digits, _, _ = strings.Cut(digits, ".")
	version, err := strconv.ParseInt(digits, 10, 64)
	if !ours || err != nil || version < 1 || strconv.FormatInt(version, 10) != digits {
		return 0, domain.Refuse(domain.Stale, "%s is not the tag of a version that can be changed; read it again", tag)
	}
	return version, nil
}

// anyTagMatches reports whether an If-None-Match header holds the tag, by weak
// comparison (RFC 9110, 13.1.2). What cannot be read matches nothing.
func anyTagMatches(header, tag string) bool {
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

// cutTag takes the first entity tag off a list: an optional W/, then quotes
// around visible characters without quotes (RFC 9110, 8.8.3).
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
