package openapi

import (
	_ "embed" // for the contract
	"fmt"

	"github.com/getkin/kin-openapi/openapi3"
)

// YAML is the contract as it was written.
//
//go:embed openapi.yaml
var YAML []byte

// Load parses the contract, references resolved. Each call gives a document of
// the caller's own.
func Load() (*openapi3.T, error) {
	doc, err := openapi3.NewLoader().LoadFromData(YAML)
	if err != nil {
		return nil, fmt.Errorf("read the contract: %w", err)
	}
	return doc, nil
}
