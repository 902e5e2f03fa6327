package app_test

import (
	"errors"
	"testing"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"

	"github.com/shopspring/decimal"
)

// laterVersion returns the shipped catalogue as a later version of the service might ship it: with
// a dearer plank blank and other hours for the keys.
func laterVersion(t *testing.T) *catalogue.Catalogue {
	t.Helper()
	c, err := catalogue.Shipped()
	if err != nil {
		t.Fatal(err)
	}
	blank := c.MaterialsOf("BD-02")[0]
	blank.UnitPrice.High = decimal.NewFromInt(500)
	h := c.Operation("KY-02").Hours[catalogue.Grand]
	h.High = h.High.Add(decimal.NewFromInt(5))
	next, err := c.With([]catalogue.Change{
		{Put: &catalogue.Row{Material: &blank}, Why: "later data"},
		{
			Set: &catalogue.Setting{
				Operation: "KY-02", Hours: map[catalogue.Kind]catalogue.Hours{catalogue.Grand: h},
				Standing: "derived",
			},
			Why: "later data",
		},
	})
	if err != nil {
		t.Fatal(err)
	}
	return next
}

func TestLaterDefaultsArriveAsOffersAtTheRateOfTheFounding(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	w, err := app.DefaultWorkshop("Fernwood Pianos", "Europe/Lisbon", "EUR")
	if err != nil {
		t.Fatal(err)
	}
	rate := decimal.RequireFromString("1.2")
	owner, err := a.CreateWorkshop(
		t.Context(), app.WorkshopDraft{Workshop: w, OwnerName: "Ada Fernwood", PriceRate: rate},
	)
	if err != nil {
		t.Fatal(err)
	}
	none, err := a.CatalogueUpdate(t.Context(), owner, nil)
	if err != nil || len(none.Offers) != 0 || !none.Rate.Equal(rate) {
		t.Fatalf("just founded: %+v, %v; want nothing on offer", none, err)
	}
	keys := catalogue.Setting{Operation: "KY-02", Crew: 2}
	if _, err := a.EditCatalogue(
		t.Context(), owner, []catalogue.Change{{Set: &keys, Why: "two do it here"}}, "keys", 1,
	); err != nil {
		t.Fatal(err)
	}
	a.Ship(laterVersion(t))
	got, err := a.CatalogueUpdate(t.Context(), owner, nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Offers) != 2 || got.Offers[0].State != catalogue.Contested ||
		got.Offers[0].Row != "KY-02" || got.Offers[1].State != catalogue.Offered {
		t.Fatalf("got %+v, want the keys contested and the blank offered", got.Offers)
	}
	if high := got.Offers[1].Now.Material.UnitPrice.High; !high.Equal(decimal.NewFromInt(600)) {
		t.Errorf("the blank is offered at %s, want 500 at the rate 1.2", high)
	}
	made, err := a.AnswerCatalogueUpdate(
		t.Context(), owner,
		app.CatalogueUpdateAnswer{Answers: catalogue.Answers{All: true}, Note: "taken up"}, 2,
	)
	if err != nil {
		t.Fatal(err)
	}
	if made.Number != 3 || made.Catalogue.Operation("KY-02").Crew != 2 {
		t.Errorf(
			"revision %d, the keys want %d people", made.Number,
			made.Catalogue.Operation("KY-02").Crew,
		)
	}
	again, err := a.CatalogueUpdate(t.Context(), owner, nil)
	if err != nil || len(again.Offers) != 1 || again.Offers[0].Row != "KY-02" {
		t.Errorf("afterwards %+v, %v; want the keys alone", again.Offers, err)
	}
	if _, err := a.AnswerCatalogueUpdate(
		t.Context(), owner,
		app.CatalogueUpdateAnswer{
			Answers: catalogue.Answers{Keep: []catalogue.RowKey{again.Offers[0].RowKey}},
			Note:    "ours",
		},
		3,
	); err != nil {
		t.Fatal(err)
	}
	if last, err := a.CatalogueUpdate(t.Context(), owner, nil); err != nil || len(last.Offers) != 0 {
		t.Errorf("after keeping its own: %+v, %v", last.Offers, err)
	}
	if same, err := a.AnswerCatalogueUpdate(
		t.Context(), owner, app.CatalogueUpdateAnswer{Answers: catalogue.Answers{All: true}}, 4,
	); err != nil || same.Number != 4 {
		t.Errorf("with nothing on offer: revision %d, %v; want none made", same.Number, err)
	}
}

func TestAnOfferIsAnsweredOnTheRevisionThatWasRead(t *testing.T) {
	t.Parallel()
	a, _ := opened(t, 2, atMorning)
	owner := founded(t, a)
	a.Ship(laterVersion(t))
	var fault *domain.Fault
	_, err := a.AnswerCatalogueUpdate(
		t.Context(), owner, app.CatalogueUpdateAnswer{Answers: catalogue.Answers{All: true}}, 7,
	)
	if !errors.As(err, &fault) || fault.Kind != domain.Stale {
		t.Errorf("got %v, want a stale revision", err)
	}
	_, err = a.AnswerCatalogueUpdate(t.Context(), owner, app.CatalogueUpdateAnswer{}, 1)
	if !errors.As(err, &fault) ||
		fault.Fields[0].Pointer != "#" {
		t.Errorf("an answer that says nothing: got %v", err)
	}
	_, err = a.AnswerCatalogueUpdate(
		t.Context(), owner,
		app.CatalogueUpdateAnswer{
			Answers: catalogue.Answers{Take: []catalogue.RowKey{{Table: "rules", Row: "sharps"}}},
		},
		1,
	)
	if !errors.As(err, &fault) || fault.Kind != domain.Invalid ||
		fault.Fields[0].Pointer != "#/take/0" {
		t.Errorf("got %v, want a fault at #/take/0", err)
	}
}
