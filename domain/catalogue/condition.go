package catalogue

// Condition is a conjunction of clauses, each a disjunction of terms, in the
// form "SV-13:must_act;op:ST-02|op:ST-03;!depth:as_found". The empty Condition
// always holds.
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
// and "!" before a term denies it.
type Condition string

// Facts are what a Condition is held against: the facts of one instrument and
// what is known of its survey and its scope so far. A zero field and a nil
// function know nothing, so that the terms about them are false.
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

	Severity func(PointCode) Severity        // what the findings of a point come to
	Answer   func(PointCode) string          // the answer to a point of type Pick
	Side     func(PointCode) Side            // where the deciding reading lies; see Limits.Side
	InScope  func(Code) bool                 // whether an operation is in the scope
	Settled  func(group string) (opt string) // the option that a choice is settled on; empty: none yet
}

// Side says where a reading lies beside what is accepted.
type Side string

// Low is below what is accepted, High above; Within is neither.
const (
	Within Side = ""
	Low    Side = "low"
	High   Side = "high"
)
