package stringing

// StringLoad is the load of one note of a scale.
type StringLoad struct {
	Note
	FrequencyHz float64
	TensionN    float64 // of one string
	UnisonN     float64 // of all its strings
	BreakN      float64 // on the chosen basis; 0: none on record
	Percent     float64 // of BreakN; 0: none on record
}

// Section is the load of a stretch of neighbouring notes on the frame.
type Section struct {
	Name     string
	From, To int // note numbers
	Strings  int
	TotalN   float64
	// HighestPercent is that of the string nearest to its breaking load, at note HighestAt; both are 0
	// if no load is on record for any.
	HighestPercent float64
	HighestAt      int
}

// Load is the load of a whole scale.
type Load struct {
	PitchHz  float64 // of A4
	Basis    Basis
	Notes    []StringLoad
	Sections []Section
	Strings  int
	TotalN   float64
	// PlainN and CoveredN are TotalN by kind of string.
	PlainN, CoveredN float64
}

// Load computes every note of the scale at a pitch of A4 in hertz, with the breaking loads of a
// basis.
func (s Scale) Load(a4 float64, basis Basis) Load {
	l := Load{PitchHz: a4, Basis: basis}
	for _, n := range s {
		x := StringLoad{Note: n, FrequencyHz: Frequency(n.Number, a4), TensionN: n.Tension(a4)}
		x.UnisonN = x.TensionN * float64(n.Strings)
		if load, err := basis.BreakingLoad(n.CoreMM); err == nil {
			x.BreakN, x.Percent = load, PercentOf(x.TensionN, load)
		}
		l.Notes = append(l.Notes, x)
		l.Strings += n.Strings
		l.TotalN += x.UnisonN
		if n.Covered() {
			l.CoveredN += x.UnisonN
		} else {
			l.PlainN += x.UnisonN
		}
	}
	l.Sections = sections(l.Notes)
	return l
}

// sections groups neighbouring notes that are strung on the same part of the frame or, if that
// wasn't noted, in the same manner.
func sections(notes []StringLoad) []Section {
	var list []Section
	for _, n := range notes {
		name := n.Section
		if name == "" {
			name = strung(n.Note)
		}
		if len(list) == 0 || list[len(list)-1].Name != name {
			list = append(list, Section{Name: name, From: n.Number})
		}
		at := &list[len(list)-1]
		at.To = n.Number
		at.Strings += n.Strings
		at.TotalN += n.UnisonN
		if n.Percent > at.HighestPercent {
			at.HighestPercent, at.HighestAt = n.Percent, n.Number
		}
	}
	return list
}

// strung returns how a note is strung: "covered pairs", "plain threes".
func strung(n Note) string {
	word := [...]string{1: "singles", 2: "pairs", 3: "threes", 4: "fours"}
	kind := "plain "
	if n.Covered() {
		kind = "covered "
	}
	if n.Strings < 1 || n.Strings >= len(word) {
		return kind + "strings"
	}
	return kind + word[n.Strings]
}
