package domain

import (
	"encoding/json"
	"fmt"
)

// CanonicalJSON returns the one encoding of a document that is stored and hashed: fields in the
// order of their type, maps by key. It panics where the document's type can't be encoded.
func CanonicalJSON(v any) []byte {
	b, err := json.Marshal(v)
	if err != nil {
		panic(fmt.Sprintf("encode a document: %v", err))
	}
	return b
}
