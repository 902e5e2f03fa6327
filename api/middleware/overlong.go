package middleware

import (
	"fmt"

	"bentside/api/problem"

	"github.com/getkin/kin-openapi/openapi3"
)

// checkLengths notes the lists of a body that are longer than the contract allows. The validator
// would go through all of such a list and keep an error for each element. It looks at no more than
// the contract allows, and only where lists may be.
func checkLengths(f *problem.Fields, at string, schema *openapi3.SchemaRef, value any) {
	if schema == nil || schema.Value == nil {
		return
	}
	s := schema.Value
	switch v := value.(type) {
	case []any:
		if s.MaxItems != nil && uint64(len(v)) > *s.MaxItems {
			f.Add(at, "maximum number of items is %d", *s.MaxItems)
			return
		}
		for i, x := range v {
			checkLengths(f, fmt.Sprintf("%s/%d", at, i), s.Items, x)
		}
	case map[string]any:
		for name, property := range s.Properties {
			if x, there := v[name]; there {
				checkLengths(f, at+"/"+problem.EscapePointer(name), property, x)
			}
		}
	}
	for _, part := range s.AllOf {
		checkLengths(f, at, part, value)
	}
}
