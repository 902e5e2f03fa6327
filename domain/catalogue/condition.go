package catalogue

// Condition is a conjunction of clauses, each a disjunction of terms, in the form
// "SV-13:must_act;op:ST-02|op:ST-03;!depth:as_found". The empty Condition always holds.
//
// A term is one of
//
//	SV-13:must_act       the finding of the point is exactly that severity
//	SV-13>=attention     … or worse (sound < attention < must_act; unknown is none of these)
//	SV-13:low  SV-13:high  the deciding reading lies below or above what is accepted
//	SV-13=answer         the point's answer is that one
//	op:BD-02             the operation is in the scope
//	option:PLANK=replace the choice is settled so
//	depth:restore  kind:grand  owner:stock  finish:shellac  colour:black
//	covering:ivory  action:tied  decorated:yes
//	year<1975            made before that year (false where the year is not known)
//	year>=1975           made in that year or later (false where the year is not known)
//	always
//
// and "!" before a term negates it.
type Condition string

// Facts are what a Condition is evaluated on: the facts of one instrument, and what is known of its
// survey and its scope so far. Terms about a zero field or a nil function are false.
type Facts struct {
	Depth     Depth
	Kind      Kind
	Owner     string // offered, stock, client
	Finish    string // shellac, polyester, lacquer, paint
	Colour    string // black, or a wood
	Covering  string // of the naturals
	Action    string
	Decorated bool
	Year      int // of making; 0: not known

	Severity func(PointCode) Severity // what the findings of a point mean
	Answer   func(PointCode) string   // the answer to a point of type Pick
	Side     func(PointCode) Side     // on which side the deciding reading lies; see Limits.Side
	InScope  func(Code) bool          // whether an operation is in the scope
	// the option that a choice is settled on; empty: none yet
	Settled func(group string) (opt string)
}

// Translated returns the facts for conditions that name points by other codes.
func (f Facts) Translated(code func(PointCode) PointCode) Facts {
	severity, answer, side := f.Severity, f.Answer, f.Side
	f.Severity = func(p PointCode) Severity { return severity(code(p)) }
	f.Answer = func(p PointCode) string { return answer(code(p)) }
	f.Side = func(p PointCode) Side { return side(code(p)) }
	return f
}

// fact is what a term "name:word" asks of an instrument.
type fact struct {
	words []string // that it can be; nil: any word
	of    func(Facts) string
}

// facts are the facts by name.
var facts = map[termKind]fact{
	termDepth: {
		words: []string{string(AsFound), string(Recondition), string(Restore)},
		of:    func(f Facts) string { return string(f.Depth) },
	},
	termKindOf: {
		words: []string{string(Grand), string(Upright)},
		of:    func(f Facts) string { return string(f.Kind) },
	},
	"owner": {
		words: []string{"offered", "stock", "client"},
		of:    func(f Facts) string { return f.Owner },
	},
	"finish":   {of: func(f Facts) string { return f.Finish }},
	"colour":   {of: func(f Facts) string { return f.Colour }},
	"covering": {of: func(f Facts) string { return f.Covering }},
	"action":   {of: func(f Facts) string { return f.Action }},
	"decorated": {
		words: []string{"yes", "no"},
		of: func(f Facts) string {
			if f.Decorated {
				return "yes"
			}
			return "no"
		},
	},
}

// Side says whether a reading lies below or above what is accepted.
type Side string

// Low is below what is accepted, High above it; Within is neither.
const (
	Within Side = ""
	Low    Side = "low"
	High   Side = "high"
)
