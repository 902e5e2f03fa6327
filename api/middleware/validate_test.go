package middleware_test

import (
	"bytes"
	"encoding/json"
	"testing"

	"bentside/api/middleware"
)

func FuzzDecodeJSON(f *testing.F) {
	for _, seed := range []string{
		`{}`, `{"a":1}`, `[1,2`, `{}{}`, `null`, ``, ` `, `1e999`, "\"\x00\"",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		value, err := middleware.DecodeJSON(data)
		if (err == nil) != json.Valid(data) {
			t.Fatalf("%q: %v, but valid is %v", data, err, json.Valid(data))
		}
		if err != nil {
			return
		}
		b, err := json.Marshal(value)
		if err != nil {
			t.Fatal(err)
		}
		again, err := middleware.DecodeJSON(b)
		if err != nil {
			t.Fatalf("%q, written as %s: %v", data, b, err)
		}
		if c, _ := json.Marshal(again); !bytes.Equal(b, c) {
			t.Errorf("%s is not written the same twice: %s", b, c)
		}
	})
}
