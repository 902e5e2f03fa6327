package page_test

import (
	"testing"

	"bentside/api/page"
	"bentside/openapi"
)

func TestTheDefaultPageIsTheContracts(t *testing.T) {
	t.Parallel()
	doc, err := openapi.Load()
	if err != nil {
		t.Fatal(err)
	}
	got := doc.Components.Parameters["Limit"].Value.Schema.Value.Default
	if got != float64(page.Limit(0)) {
		t.Errorf("the contract's default limit is %v, the door's %d", got, page.Limit(0))
	}
}
