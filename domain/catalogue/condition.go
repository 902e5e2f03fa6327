package catalogue

// Condition is a conjunction of clauses, each a disjunction of terms, in the
// form "SV-13:must_act;op:ST-02|op:ST-03;!depth:as_found". The empty Condition
// always holds.
//
// A term is one of
//
//	SV-13:must_act       the finding of the point is exactly that severity
//	SV-13>=attention     … or worse (sound < attention < must_act; unknown is none of these)
//	SV-13=answer         the point's answer is that one
//	op:BD-02             the operation is in the scope
//	option:PLANK=replace the choice is settled so
//	depth:restore        kind:grand  owner:stock|owner:client|owner:offered
//	finish:black  covering:ivory  decorated:yes  action:tied
//	year<1975            made before that year (false where the year is not known)
//	always
//
// and "!" before a term denies it.
type Condition string

// Catalogue is a checked set of tables.
type Catalogue struct {
	Currency   string      `json:"currency"` // ISO 4217 code of every price
	Operations []Operation `json:"operations"`
	Links      []Link      `json:"links"`
	Choices    []Choice    `json:"choices"`
	Materials  []Material  `json:"materials"`
	Companions []Companion `json:"companions"`
	Points     []Point     `json:"points"`
	Rules      []Rule      `json:"rules"`
}
