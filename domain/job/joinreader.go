package job

import (
	"bentside/domain/catalogue"
	"bentside/domain/form"
	"bentside/domain/instrument"

	"github.com/shopspring/decimal"
)

// joinReader collects the pianos and tasks of a file.
type joinReader struct {
	join   Join
	pianos map[string]int // ref → index
}

// joinRow is one row of the file.
type joinRow struct {
	form.Row
	*joinReader
}

func (r *joinReader) row(row form.Row) {
	w := joinRow{row, r}
	kind := w.Text("row")
	for _, c := range joinColumns {
		if (kind == pianoRow || kind == taskRow) && c.row != "" && c.row != kind &&
			w.Text(c.Name) != "" {
			w.Wrong(c.Name, "must be empty here: it belongs to a row %s", c.row)
		}
	}
	switch kind {
	case pianoRow:
		w.piano()
	case taskRow:
		w.task()
	default:
		w.Wrong("row", "must be piano or task, not %q", kind)
	}
}

// refused stands for the index of a piano that was refused.
const refused = -1

func (w joinRow) piano() {
	ref := w.Text("ref")
	if _, twice := w.pianos[ref]; twice || ref == "" {
		w.Wrong("ref", "must be given, and be different for each piano: its tasks refer to it")
		w.pianos[ref] = refused // its tasks can't be told from the other piano's
		return
	}
	p := JoiningPiano{
		Line: w.Line, Ref: ref, Client: w.Text("client"),
		Depth:      catalogue.Depth(w.Text("depth")),
		AcceptedOn: w.Day("accepted_on"), PromisedOn: w.Day("promised_on"),
		OriginalPrice: w.Figure("original_price"),
		CostSoFar:     w.Figure("cost_so_far"), Deposit: w.Figure("deposit"),
		Instrument: w.instrument(),
	}
	w.pianos[ref] = len(w.join.Pianos)
	w.join.Pianos = append(w.join.Pianos, p)
}

func (w joinRow) instrument() instrument.Instrument {
	return instrument.Instrument{
		Kind:  catalogue.Kind(w.Text("kind")),
		Maker: w.Text("maker"), Model: w.Text("model"), Serial: w.Text("serial"),
		Year: w.Whole("year"), SizeMM: w.Whole("size_mm"), Notes: w.Whole("notes"),
		Covering: w.Text("covering"), Finish: w.Text("finish"), Colour: w.Text("colour"),
		Action: w.Text("action"),
		Owner:  instrument.Ownership(w.Text("owner")), StockNumber: w.Text("stock_number"),
	}
}

func (w joinRow) task() {
	t := JoiningTask{Line: w.Line, Operation: catalogue.Code(w.Text("operation"))}
	for _, x := range []struct {
		name  string
		hours *decimal.Decimal
	}{{"hours_done", &t.Done}, {"hours_left", &t.Left}} {
		switch h := w.Figure(x.name); {
		case h != nil:
			*x.hours = *h
		case w.Text(x.name) == "":
			w.Wrong(x.name, "must be given; 0 where there are none")
		}
	}
	at, known := w.pianos[w.Text("ref")]
	switch {
	case !known:
		w.Wrong("ref", "must be that of a piano above, not %q", w.Text("ref"))
		return
	case at == refused:
		return
	}
	w.join.Pianos[at].Tasks = append(w.join.Pianos[at].Tasks, t)
}
