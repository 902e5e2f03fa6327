package app_test

import (
	"bytes"
	"encoding/hex"
	"encoding/json"
	"regexp"
	"testing"
	"time"

	"bentside/api/app"
	"bentside/api/demo"
	"bentside/api/postgres"
	"bentside/domain/catalogue"
	"bentside/domain/plan"
)

// A workshop's newest revision may date from before marks and groups of work were stored. Bids,
// scopes, jobs and plans come to the same with it and refer to the document as stored.
func TestARevisionFromBeforeMarksAndGroupsIsWorkedWithAsItIsStored(t *testing.T) {
	t.Parallel()
	ctx := t.Context()
	a, s := told(t)
	ask := app.BidRequest{
		Instrument: s.Candidate.ID, Survey: s.Survey.ID, Asked: s.Bid.Inputs.Asked,
	}
	marked, err := a.WorkOutBid(ctx, s.Owner, ask)
	if err != nil {
		t.Fatal(err)
	}
	rev, err := a.Catalogue(ctx, s.Owner)
	if err != nil {
		t.Fatal(err)
	}
	bare := rev.Catalogue.Canonical()
	for _, member := range []string{`"marks":\[[^\]]*\],`, `"group":"(belly|action|case)",`} {
		without := regexp.MustCompile(member).ReplaceAll(bare, nil)
		if bytes.Equal(without, bare) {
			t.Fatalf("the document has nothing to take out that matches %s", member)
		}
		bare = without
	}
	var hash postgres.Hash
	err = s.Store.Write(ctx, s.Owner, time.Now(), func(tx *postgres.Tx) (err error) {
		if hash, err = tx.KeepDocument(ctx, bare); err != nil {
			return err
		}
		_, err = tx.AddRevision(ctx, rev.Number, hash, "as it was stored before")
		return err
	})
	if err != nil || hash == rev.Document {
		t.Fatalf("the document is stored as %x, as it was before: %v", hash, err)
	}
	b, err := a.WorkOutBid(ctx, s.Owner, ask)
	if err != nil {
		t.Fatal(err)
	}
	if b.Bid.Result != marked.Bid.Result || b.Inputs.Catalogue != hex.EncodeToString(hash[:]) {
		t.Errorf(
			"on the catalogue %s the bid comes to %x, on the whole one it came to %x", b.Inputs.Catalogue,
			b.Bid.Result, marked.Bid.Result,
		)
	}
	if again, err := a.RecomputeBid(ctx, s.Owner, b.ID); err != nil || !again.Same {
		t.Errorf("recomputed: %+v, %v", again, err)
	}
	acceptedOn(t, a, s.Owner, drawnUp(t, a, s.Owner, ownPiano()), demo.Today)
	made, err := a.MakePlan(ctx, s.Owner, app.PlanRequest{Schedules: 1, Limit: time.Minute})
	if err != nil {
		t.Fatal(err)
	}
	if jobs := planInputs(
		t, a, s.Owner, made,
	).Jobs; jobs[len(jobs)-1].Catalogue != hex.EncodeToString(hash[:]) {
		t.Errorf(
			"the plan's last job is of the catalogue %s, want the stored document %x",
			jobs[len(jobs)-1].Catalogue, hash,
		)
	}
	edit := catalogue.Change{
		Set: &catalogue.Setting{Operation: "BD-02", Crew: 2}, Why: "two lift it",
	}
	next, err := a.EditCatalogue(ctx, s.Owner, []catalogue.Change{edit}, "planks", rev.Number+1)
	if err != nil || next.Catalogue.OperationMarked(catalogue.ArrivalMark) != "IN-02" ||
		next.Catalogue.Operation("BD-02").Group != catalogue.Belly {
		t.Errorf("the next revision lacks marks or groups: %v", err)
	}
}

// planInputs returns the stored inputs of a plan.
func planInputs(t *testing.T, a *app.App, who app.Actor, p app.StoredPlan) (in plan.Inputs) {
	t.Helper()
	body, err := a.Read(t.Context(), who).Document(t.Context(), p.Inputs)
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(body, &in); err != nil {
		t.Fatal(err)
	}
	return in
}
