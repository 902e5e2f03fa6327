package stock_test

import (
	"errors"
	"slices"
	"strings"
	"testing"

	"bentside/domain"
	"bentside/domain/stock"
	"bentside/pricing/valuation"

	"github.com/google/uuid"
)

func TestAPartIsCheckedFieldByField(t *testing.T) {
	t.Parallel()
	good := wire(valuation.FIFO).part
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for pointer, spoil := range map[string]func(*stock.Part){
		"#/code":          func(p *stock.Part) { p.Code = " " },
		"#/name":          func(p *stock.Part) { p.Name = strings.Repeat("w", domain.MaxName+1) },
		"#/class":         func(p *stock.Part) { p.Class = uuid.Nil },
		"#/unit":          func(p *stock.Part) { p.Unit = "" },
		"#/purchase_unit": func(p *stock.Part) { p.PurchaseUnit = "m" },
		"#/content":       func(p *stock.Part) { p.Content = dec("0") },
		"#/minimum":       func(p *stock.Part) { p.Minimum = dec("-1") },
		"#/note":          func(p *stock.Part) { p.Note = strings.Repeat("w", domain.MaxText+1) },
	} {
		bad := good
		spoil(&bad)
		var f *domain.Fault
		if err := bad.Check(); !errors.As(err, &f) || !slices.ContainsFunc(f.Fields,
			func(x domain.FieldFault) bool { return x.Pointer == pointer }) {
			t.Errorf("got %v, want a fault about %s", err, pointer)
		}
	}
	loose := good
	loose.PurchaseUnit = ""
	if loose.Check() == nil {
		t.Error("a content without a purchase unit passes")
	}
}

func TestAClassValuesInOneOfTwoWays(t *testing.T) {
	t.Parallel()
	good := stock.Class{Name: "Wire", Method: valuation.FIFO}
	if err := good.Check(); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []stock.Class{
		{Name: "", Method: valuation.FIFO}, {Name: "Wire", Method: "lifo"},
	} {
		if bad.Check() == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

func TestWhatWasMovedKeepsItsUnitAndMethod(t *testing.T) {
	t.Parallel()
	was := wire(valuation.FIFO).part
	other := was
	other.Unit = "piece"
	class := stock.Class{Method: valuation.FIFO}
	average := stock.Class{Method: valuation.MovingAverage}
	for name, c := range map[string]struct {
		err error
		ok  bool
	}{
		"another unit before any move": {other.CheckChange(was, "fifo", "fifo", false), true},
		"another unit after":           {other.CheckChange(was, "fifo", "fifo", true), false},
		"another name after":           {was.CheckChange(was, "fifo", "fifo", true), true},
		"another method after":         {was.CheckChange(was, "fifo", "moving_average", true), false},
		"a class before any move":      {average.CheckChange(class, false), true},
		"a class after":                {average.CheckChange(class, true), false},
	} {
		var f *domain.Fault
		if refused := errors.As(c.err, &f) && f.Kind == domain.Conflict; refused == c.ok {
			t.Errorf("%s: got %v", name, c.err)
		}
	}
}
