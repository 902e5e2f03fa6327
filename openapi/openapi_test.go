package openapi_test

import (
	"context"
	"testing"

	"bentside/openapi"

	"github.com/getkin/kin-openapi/openapi3"
)

func TestTheContractIsValidIn31AndWithItsVersionReadAs30(t *testing.T) {
	t.Parallel()
	for _, version := range []string{"3.1.0", "3.0.3"} {
		doc, err := openapi.Load()
		if err != nil {
			t.Fatal(err)
		}
		doc.OpenAPI = version
		if err := doc.Validate(context.Background(), openapi3.EnableExamplesValidation()); err != nil {
			t.Errorf("as %s: %v", version, err)
		}
	}
}
