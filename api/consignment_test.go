package api_test

import (
	"net/http"
	"testing"

	"bentside/domain"
	"bentside/openapi"
)

// A piano is sold for its owner: 25 % of 9,600.00 and 600.00 of the work are ours, tax included,
// and the rest is owed to the owner. It comes back as the owner's and is consigned still, and the
// owner has it back in the end.
func TestAConsignedPianoIsSoldForItsOwner(t *testing.T) {
	t.Parallel()
	s := openShop(t)
	owner := s.as(domain.Owner)
	(&walker{TB: t, owner: owner}).registered()
	rosa, buyer := newID(t).String(), newID(t).String()
	at := grandOf(t, owner, rosa)
	want[any](t, owner.do(http.MethodPut, "/v1/parties/"+buyer, map[string]any{"name": "Edda Rosvall"},
		"If-None-Match: *"), http.StatusCreated)
	post := func(path string, body map[string]any) answer {
		return owner.do(http.MethodPost, path, body)
	}
	refused := func(a answer) {
		t.Helper()
		wantProblem(t, a, http.StatusConflict, "conflict")
	}
	sell := map[string]any{"buyer": buyer, "price": amount("9600.00")}
	outcome := func() openapi.InstrumentOutcome {
		t.Helper()
		o := want[openapi.InstrumentOutcome](t, owner.do(http.MethodGet, at+"/outcome", nil),
			http.StatusOK)
		wantAddedUp(t, o)
		return o
	}
	refused(post(at+"/sales", sell))
	terms := map[string]any{"commission_share": "0.25", "owner_bears": amount("600.00")}
	c := want[openapi.ConsignmentTerms](t, post(at+"/consignments", terms), http.StatusCreated)
	refused(post(at+"/consignments", terms))
	refused(owner.do(http.MethodPut, at, with(wornGrand(), map[string]any{
		"owner": "client", "party": buyer,
	}), "If-Match: "+owner.do(http.MethodGet, at, nil).header.Get("ETag")))
	want[any](t, post(at+"/showroom-prices", map[string]any{"price": amount("9900.00")}),
		http.StatusCreated)
	want[any](t, post(at+"/other-costs", map[string]any{
		"kind": "other", "purpose": "work", "amount": amount("1800.00"), "note": "strings",
	}), http.StatusCreated)
	if o := outcome(); o.ShowroomPrice == nil {
		t.Errorf("it isn't offered: %+v", o)
	}
	x := want[openapi.Sale](t, post(at+"/sales", sell), http.StatusCreated)
	if f := x.ForOwner; f == nil || f.Commission.Amount != "2400.00" || f.Owed.Amount != "6600.00" ||
		f.Owner.String() != rosa || f.Consignment != c.ID || x.Tax.Due.Amount != "500.00" ||
		x.Tax.Base.Amount != "3000.00" {
		t.Errorf("of the price becomes %+v, taxed %+v", f, x.Tax)
	}
	if a := outcome().Account; a.NetSales.Amount != "2000.00" || a.OwnerBears.Amount != "500.00" ||
		a.OwedToOwners.Amount != "6600.00" || a.Margin.Amount != "700.00" {
		t.Errorf("the account is %+v", a)
	}
	end := "/v1/consignments/" + c.ID.String() + "/end"
	refused(post(end, map[string]any{"why": "no buyer came"}))
	path := "/v1/sales/" + x.ID.String()
	want[any](t, post(path+"/hand-over", map[string]any{}), http.StatusCreated)
	want[openapi.Sale](t, post(path+"/return", map[string]any{"why": "too large"}), http.StatusCreated)
	i := want[openapi.Instrument](t, owner.do(http.MethodGet, at, nil), http.StatusOK)
	if i.Owner != "client" || i.Party.String() != rosa || i.State != "waiting" {
		t.Errorf("taken back it is %s of %v, %s", i.Owner, i.Party, i.State)
	}
	if a := outcome().Account; a.OwedToOwners.Amount != "0.00" || a.Tax.Amount != "0.00" {
		t.Errorf("after the return: %+v", a)
	}
	ended := want[openapi.ConsignmentTerms](t, post(end, map[string]any{"why": "no buyer came"}),
		http.StatusCreated)
	if ended.End == nil || ended.End.Why != "no buyer came" {
		t.Errorf("it ended as %+v", ended.End)
	}
	i = want[openapi.Instrument](t, owner.do(http.MethodGet, at, nil), http.StatusOK)
	if i.State != "gone" || i.Party.String() != rosa {
		t.Errorf("it is %s, of %v", i.State, i.Party)
	}
	refused(post(end, map[string]any{"why": "again"}))
	refused(post(at+"/sales", sell))
}
