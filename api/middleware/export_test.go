package middleware

import (
	"maps"
	"slices"
)

// What the external tests look at of the inside.
var (
	ParseKey   = parseKey
	DecodeJSON = decodeJSON
)

// GuardedOperations returns the operations that the guard knows.
func GuardedOperations() []string { return slices.Sorted(maps.Keys(permissions)) }
