package demo

import (
	"fmt"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/instrument"
	"bentside/domain/scope"
	"bentside/domain/survey"
)

// piano is an instrument with the findings of its survey.
type piano struct {
	instrument instrument.Instrument
	client     string // whose it is; empty: ours or on offer
	surveyed   domain.Date
	findings   []survey.Finding
}

// read returns measured, counted or graded findings in the point's own unit.
func read(point catalogue.PointCode, where string, values ...string) []survey.Finding {
	fs := make([]survey.Finding, 0, len(values))
	for _, v := range values {
		d := dec(v)
		fs = append(fs, survey.Finding{Point: point, Where: where, Value: &d})
	}
	return fs
}

func in(unit string, fs []survey.Finding) []survey.Finding {
	for i := range fs {
		fs[i].Unit = unit
	}
	return fs
}

func noted(note string, fs []survey.Finding) []survey.Finding {
	fs[0].Note = note
	return fs
}

func answer(point catalogue.PointCode, word string) []survey.Finding {
	return []survey.Finding{{Point: point, Answer: word}}
}

func flagged(point catalogue.PointCode, yes bool) []survey.Finding {
	return []survey.Finding{{Point: point, Flag: &yes}}
}

func text(point catalogue.PointCode, words string) []survey.Finding {
	return []survey.Finding{{Point: point, Note: words}}
}

func surveyed(parts ...[]survey.Finding) []survey.Finding {
	var all []survey.Finding
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// sound returns readings of points that were inspected and found in order.
func sound(points ...string) []survey.Finding {
	var all []survey.Finding
	for _, p := range points {
		var code, value string
		if _, err := fmt.Sscanf(p, "%s %s", &code, &value); err != nil {
			panic(fmt.Sprintf("reading %q: %v", p, err))
		}
		all = append(all, read(catalogue.PointCode(code), "", value)...)
	}
	return all
}

// candidate is the grand that the buyer is looking at.
var candidate = piano{
	instrument: instrument.Instrument{
		Kind: catalogue.Grand, Maker: "Halvorsen & Dray", Model: "Salon", Serial: "41877", Year: 1911,
		SizeMM: 1850, Notes: 88,
		Stringing: &instrument.Stringing{
			LastSingle: 10, LastPair: 27, Covered: 44,
		}, Covering: "ivory", Finish: "shellac", Colour: "black",
		Action: "roller", Owner: instrument.Offered,
	},
	surveyed: Today,
	findings: surveyed(
		read("SV-01", "", "88"), answer("SV-02", "roller"),
		in("mm", read("SV-03", "note 30", "50.5")), in("mm", read("SV-03", "note 58", "51")),
		in("mm", read("SV-03", "note 80", "49.5")), in("mm", read("SV-05", "note 40", "4.2")),
		in("mm", read("SV-07", "note 40", "10.1")), in("in-lb", read("SV-11", "bass", "62", "58")),
		in("in-lb", read("SV-11", "treble", "48", "30", "29")),
		noted("the plank looks original", in("mm", read("SV-13", "treble", "7.26", "7.25"))),
		sound("SV-12 4", "SV-14 4", "SV-15 1"), read("SV-16", "tenor", "2"), read("SV-17", "", "3"),
		read("SV-18", "", "14"), read("SV-19", "", "5"),
		noted("restrung once, says the seller", in("years", read("SV-20", "", "60"))),
		read("SV-21", "", "-22"), read("SV-22", "treble", "2"),
		sound("SV-23 0.7", "SV-24 14", "SV-25 3", "SV-26 0.6", "SV-27 0", "SV-28 2"),
		flagged("SV-29", false), sound("SV-30 1"),
		noted("mottled all over, lettering gone", read("SV-31", "", "3")),
		in("mm", read("SV-32", "note 80", "2.8")), in("mm", read("SV-33", "note 44", "10")),
		in("mm", read("SV-34", "note 44", "1.4")),
		noted("soft at the shoulders", read("SV-35", "", "7")),
		read("SV-36", "middle", "10"), in("mm", read("SV-38", "note 44", "1.8")),
		in("mm", read("SV-39", "note 40", "1.0")), answer("SV-42", "ivory"), read("SV-43", "", "1"),
		sound("SV-44 0"), flagged("SV-45", false), sound("SV-46 1", "SV-47 5", "SV-48 2"),
		noted("worn through at the keyblocks and along the bentside", read("SV-50", "lid and bentside", "3")),
		sound("SV-51 1", "SV-53 0", "SV-54 0", "SV-56 47", "SV-57 8.2"),
		in("m2", read("SV-52", "rim", "0.05")), flagged("SV-55", false), read("SV-58", "", "1"),
		sound("SV-59 0"), text("SV-60", "serial number and a dated key, photographed: 1911"),
		sound("SV-63 0", "SV-64 1"),
		answer("SV-61", "none"),
	),
}

// inProgress are the pianos on the benches, in queue order.
var inProgress = []struct {
	piano
	depth catalogue.Depth
	edits []scope.Edit
	done  []catalogue.Code
}{
	{
		piano: piano{
			instrument: instrument.Instrument{
				Kind: catalogue.Grand, Maker: "Orbell", Model: "Concertino", Serial: "9034",
				StockNumber: "K-118", Year: 1926, SizeMM: 1720,
				Notes: 88, Covering: "plastic", Finish: "shellac", Colour: "walnut", Action: "roller",
				Owner: instrument.Stock,
			},
			surveyed: domain.Date{Year: 2025, Month: 10, Day: 6},
			findings: surveyed(
				answer("SV-02", "roller"), read("SV-11", "treble", "3.1", "3.3"), read("SV-12", "", "8"),
				read("SV-13", "", "7.1"), read("SV-15", "", "3"), read("SV-16", "", "3"),
				read("SV-34", "note 44", "2.0"), read("SV-38", "note 44", "3.2"), read("SV-50", "lid", "3"),
				answer("SV-42", "plastic"), read("SV-43", "", "0"), read("SV-31", "", "2"),
				read("SV-47", "", "13"), flagged("SV-29", false),
				sound("SV-54 1", "SV-53 0", "SV-63 0", "SV-24 13", "SV-25 2", "SV-28 1", "SV-23 0.6"),
				flagged("SV-55", false),
			),
		},
		depth: catalogue.Restore,
		edits: []scope.Edit{
			{Kind: scope.TakeOption, Group: "FINISH", Option: "shellac", Why: "figured walnut"},
		},
		done: []catalogue.Code{
			"IN-02", "IN-03", "DS-01", "DS-02", "DS-03", "BD-01", "BD-02", "BD-06", "BD-07", "BD-08",
			"FR-02", "BD-03", "ST-01", "AC-01", "CS-01", "CS-01L",
		},
	},
	{
		piano: piano{
			instrument: instrument.Instrument{
				Kind: catalogue.Upright, Maker: "Tessmann", Serial: "55210", StockNumber: "C-041", Year: 1934,
				SizeMM: 1280, Notes: 88,
				Covering: "celluloid", Finish: "shellac", Colour: "mahogany", Action: "under_damper",
				Owner: instrument.Client,
			},
			client:   "Edda Rosvall",
			surveyed: domain.Date{Year: 2026, Month: 1, Day: 12},
			findings: surveyed(
				answer("SV-02", "under_damper"), read("SV-04", "", "51"), read("SV-11", "", "7.2", "6.8"),
				read("SV-13", "", "7.0"), read("SV-33", "note 44", "9"), read("SV-34", "note 44", "1.0"),
				read("SV-39", "", "1.1"), read("SV-46", "", "4"), read("SV-50", "", "2"),
				answer("SV-42", "celluloid"), flagged("SV-29", false),
				sound("SV-16 1", "SV-54 0", "SV-53 0", "SV-63 0", "SV-15 0"), flagged("SV-55", false),
			),
		},
		depth: catalogue.Recondition,
		done:  []catalogue.Code{"IN-02", "IN-03", "DS-01"},
	},
	{
		piano: piano{
			instrument: instrument.Instrument{
				Kind: catalogue.Grand, Maker: "Ferrand-Lisle", Serial: "20716", StockNumber: "K-121",
				Year: 1958, SizeMM: 1550, Notes: 88,
				Covering: "plastic", Finish: "polyester", Colour: "black", Action: "roller",
				Owner: instrument.Stock,
			},
			surveyed: domain.Date{Year: 2026, Month: 2, Day: 16},
			findings: surveyed(
				answer("SV-02", "roller"), read("SV-03", "", "50"), read("SV-11", "", "8.1", "7.7"),
				read("SV-13", "", "7.0"), read("SV-33", "note 44", "9"), read("SV-36", "", "11"),
				read("SV-38", "note 44", "2.1"), read("SV-39", "", "0.9"), read("SV-50", "", "2"),
				answer("SV-42", "plastic"), flagged("SV-29", false),
				sound("SV-16 1", "SV-54 0", "SV-53 0", "SV-63 0", "SV-15 0"), flagged("SV-55", false),
			),
		},
		depth: catalogue.Recondition,
		done:  []catalogue.Code{"IN-02"},
	},
}

// salePrices are what the candidate would sell for, finished at each depth: low, likely, high.
var salePrices = map[catalogue.Depth][3]string{
	catalogue.AsFound:     {"3200.00", "3900.00", "4400.00"},
	catalogue.Recondition: {"10900.00", "12800.00", "14200.00"},
	catalogue.Restore:     {"29500.00", "33500.00", "37000.00"},
}
