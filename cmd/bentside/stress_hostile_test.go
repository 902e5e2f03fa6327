package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"maps"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"time"
)

// hostileBodies sends what nobody would send in good faith to every operation that takes a body:
// about things that exist, so that it goes deep.
func (s *stressed) hostileBodies(size stressSize) row {
	shop := s.freshShop("Hazelhurst")
	own := s.ownIDs(s.super(), shop.workshop())
	taking := slices.DeleteFunc(operations(s), func(o called) bool { return o.body == nil })
	r := row{what: fmt.Sprintf("%d hostile bodies", size.hostile)}
	versions := map[string]string{}
	for n := range size.hostile {
		rng := rand.New(rand.NewPCG(*stressSeed, uint64(n))) //nolint:gosec // replayable
		o := taking[n%len(taking)]
		id := own[strings.ReplaceAll(strings.Split(o.path, "/")[2], "-", "_")]
		path := o.pathWith(id)
		h := o.headers()
		for _, mediaType := range slices.Sorted(maps.Keys(o.body.Content)) {
			h.Set("Content-Type", mediaType)
		}
		if o.example() != nil {
			h.Set("Content-Type", "application/json")
		}
		if rng.IntN(4) == 0 {
			h.Set("Idempotency-Key", `"`+fmt.Sprint(rng.Uint64())+`"`)
		}
		if tag := versions[path]; tag != "" {
			h.Set("If-Match", tag)
		}
		body := hostile(rng, o.example(), own)
		start := time.Now()
		status, header, answer := shop.send(o.method, path, h, body)
		took := time.Since(start)
		r.took = append(r.took, took)
		if tag := header.Get("ETag"); tag != "" && h.Get("If-Match") != "" {
			versions[path] = tag // it was accepted, so this is the version to change next
		}
		r.acknowledged++
		if status >= http.StatusInternalServerError || status == 0 {
			r.failed++
			s.t.Logf("case %d of seed %d, %s %s, after %v: %d %.300s\n%d bytes: %.500q", n, *stressSeed,
				o.method, path, took, status, answer, len(body), body)
		}
	}
	return r
}

// hostile draws a body.
func hostile(rng *rand.Rand, example any, own map[string]string) []byte {
	good, err := json.Marshal(example)
	if err != nil || example == nil {
		good = []byte("PK\x03\x04 a,b;c\n\"")
	}
	if ids := slices.Sorted(maps.Values(own)); len(ids) > 0 {
		good = anyUUID.ReplaceAllFunc(good, func([]byte) []byte {
			return []byte(ids[rng.IntN(len(ids))])
		})
	}
	switch rng.IntN(8) {
	case 0: // bytes that are no JSON, or no UTF-8
		b := bytes.Clone(good)
		for range 1 + rng.IntN(4) {
			b[rng.IntN(len(b))] = byte(rng.IntN(256))
		}
		return b
	case 1: // cut off
		return good[:rng.IntN(len(good))]
	case 2: // nested
		depth := 1 << rng.IntN(18)
		return []byte(strings.Repeat(`{"a":[`, depth) + strings.Repeat(`]}`, depth))
	case 3: // members that nobody knows
		var b strings.Builder
		b.WriteString(`{"unknown":0`)
		for i := range 1 << rng.IntN(16) {
			fmt.Fprintf(&b, `,"m%d":%d`, i, i)
		}
		return []byte(b.String() + `}`)
	case 4: // named twice
		return append(append([]byte{}, good[:len(good)-1]...), append([]byte(`,`), good[1:]...)...)
	}
	var value any
	if json.Unmarshal(good, &value) != nil {
		return good
	}
	for range 1 + rng.IntN(2) {
		value = spoilt(rng, value)
	}
	b, err := json.Marshal(value)
	if err != nil {
		return good
	}
	return b
}

// spoilt replaces some part of a value.
func spoilt(rng *rand.Rand, value any) any {
	if rng.IntN(4) > 0 {
		switch v := value.(type) {
		case map[string]any:
			if names := slices.Sorted(maps.Keys(v)); len(names) > 0 {
				name := names[rng.IntN(len(names))]
				v[name] = spoilt(rng, v[name])
				return v
			}
		case []any:
			if len(v) > 0 {
				i := rng.IntN(len(v))
				if rng.IntN(8) == 0 { // very many of it
					return slices.Repeat(v[i:i+1], 1+rng.IntN(5000))
				}
				v[i] = spoilt(rng, v[i])
				return v
			}
		}
	}
	return spoilers[rng.IntN(len(spoilers))]
}

var spoilers = []any{
	nil, true, "", "\x00", "a\u202eb\u0000", strings.Repeat("ü", 100_000),
	[]any{},
	map[string]any{},
	-1, 0,
	1e300, json.Number("9223372036854775808"), json.Number("-0"), json.Number("1e-400"),
	"99999999999999999999999999.99", "1e9", "-0.00", "NaN", "0001-01-01", "9999-12-31", "2026-02-30",
	"2026-11-25T23:59:60Z", "AC-10", "EUR", "'; DROP TABLE users; --", "%00", "\ufeff", "٣",
	map[string]any{"amount": "999999999999999999.99", "currency": "EUR"},
	map[string]any{"amount": "1.00", "currency": "XXX"},
	"00000000-0000-0000-0000-000000000000", "ffffffff-ffff-ffff-ffff-ffffffffffff",
}
