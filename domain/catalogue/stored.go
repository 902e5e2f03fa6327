package catalogue

import "slices"

// markStoredBefore is what was told by its code in documents stored before marks were kept.
var markStoredBefore = map[string]Mark{
	"IN-01": SurveyMark, "IN-02": ArrivalMark, "IN-03": RecordMark, "QC-03": ReadyMark,
	"SV-01": KeysMark, "SV-17": BrokenStringsMark, "SV-26": BoardCracksMark, "SV-27": LooseRibsMark,
	"SV-43": UnsoundCoveringsMark, "SV-52": UnsoundVeneerMark, "SV-21": PitchMark,
	"SV-23": BearingMark,
	"SV-29": FrameCrackMark, "SV-61": TimberMark, "SV-62": CoatingsMark, "SV-45": KeyLeadsMark,
}

// markStored gives the rows of a stored document that has no marks at all the ones by which they
// were told when it was stored. The covering went by the name of an answer, not by a code.
func (c *Catalogue) markStored() {
	marked := slices.ContainsFunc(c.Operations,
		func(o Operation) bool { return len(o.Marks) > 0 }) ||
		slices.ContainsFunc(c.Points, func(p Point) bool { return len(p.Marks) > 0 })
	if marked {
		return
	}
	for i := range c.Operations {
		o := &c.Operations[i]
		if r, ok := ruleOf(markStoredBefore[string(o.Code)], operationsTable); ok &&
			o.misfit(r) == "" {
			o.Marks = []Mark{r.mark}
		}
	}
	ivory := slices.IndexFunc(c.Points, func(p Point) bool { return p.answers(IvoryAnswer) })
	for i := range c.Points {
		p, mark := &c.Points[i], markStoredBefore[string(c.Points[i].Code)]
		if i == ivory {
			mark = CoveringMark
		}
		if r, ok := ruleOf(mark, pointsTable); ok && p.misfit(r) == "" {
			p.Marks = []Mark{r.mark}
		}
	}
}

// inBodyStoredBefore are the operations on other parts that are done in the body, in documents
// stored before that was kept.
var inBodyStoredBefore = []Code{"DS-03", "FR-02", "FR-06", "DA-03", "VO-01"}

// placeStored gives the operations of a stored document in which none is done in the body the mark
// that its code ships with.
func (c *Catalogue) placeStored() {
	inBody := func(o Operation) bool { return o.Marked(InBodyMark) }
	if slices.ContainsFunc(c.Operations, inBody) {
		return
	}
	r, _ := ruleOf(InBodyMark, operationsTable)
	for i := range c.Operations {
		o := &c.Operations[i]
		if slices.Contains(inBodyStoredBefore, o.Code) && o.misfit(r) == "" {
			o.Marks = append(slices.Clone(o.Marks), InBodyMark)
		}
	}
}

// groupsStoredBefore are the operations of each group in documents stored before groups were kept.
var groupsStoredBefore = map[WorkGroup][]Code{
	Belly: {
		"DS-02", "DS-03",
		"BD-01", "BD-02", "BD-03", "BD-04", "BD-05", "BD-06", "BD-07", "BD-08", "BD-09", "BD-10",
		"BD-11", "BD-12", "BD-13", "FR-01", "FR-02", "FR-03", "FR-04", "FR-05", "FR-06",
		"ST-01", "ST-02", "ST-03", "ST-04", "ST-05",
	},
	Action: {
		"AC-01", "AC-02", "AC-03", "AC-04", "AC-05", "AC-06", "AC-07", "AC-08",
		"KY-01", "KY-02", "KY-03", "KY-04", "KY-05", "KY-06", "DA-01", "DA-02", "DA-03",
		"RG-01", "RG-02", "VO-01",
	},
	Case: {
		"CS-01", "CS-01L", "CS-02", "CS-02L", "CS-03", "CS-03L", "CS-04", "CS-05", "CS-05L",
		"CS-06", "CS-06L", "CS-07", "CS-07L", "CS-08", "CS-08L", "CS-09", "CS-09L", "CS-10",
		"CS-11", "CS-12",
	},
}

// groupStored gives the operations of a stored document in which none has a group the one that its
// code ships with. An operation that a workshop made itself has none.
func (c *Catalogue) groupStored() {
	if slices.ContainsFunc(c.Operations, func(o Operation) bool { return o.Group != "" }) {
		return
	}
	for group, codes := range groupsStoredBefore {
		for i := range c.Operations {
			if slices.Contains(codes, c.Operations[i].Code) {
				c.Operations[i].Group = group
			}
		}
	}
}

// standStored gives the links and companions of a document that was stored before they had a
// standing the one that the same row ships with. A row that a workshop made itself has none.
func (c *Catalogue) standStored() error {
	now, err := Shipped()
	if err != nil {
		return err
	}
	for i := range c.Links {
		l := &c.Links[i]
		if l.Standing != "" {
			continue
		}
		at := indexOf(now.Links, linkKey, linkKey(*l))
		if at >= 0 && now.Links[at].Reason == l.Reason {
			l.Standing = now.Links[at].Standing
		}
	}
	for i := range c.Companions {
		k := &c.Companions[i]
		if k.Standing != "" {
			continue
		}
		at := indexOf(now.Companions, companionKey, companionKey(*k))
		if at >= 0 && now.Companions[at].Reason == k.Reason {
			k.Standing = now.Companions[at].Standing
		}
	}
	return nil
}

// usualBefore lists the companions that were shipped before there was a necessity and that an
// operation can do without.
var usualBefore = []string{
	"cs-09-strips-down", "cs-09l-strips-down", "cs-02-strips-down", "cs-02l-strips-down",
	"cs-10-strips-down", "frame-out-varnish", "frame-out-regild", "restring-settles",
	"restring-dampers", "bass-settles", "centres-regulate", "rebuild-needs-clean-stack",
	"new-whippens-need-clean-rails", "new-hammers-follow", "rebushed-regulates",
	"ornament-stripped",
}

// needStored gives the companions of a document that was stored before they had a necessity the one
// that they ship with. Every other one is needed, as all were then: what was refused stays refused.
func (c *Catalogue) needStored() {
	for i := range c.Companions {
		k := &c.Companions[i]
		switch {
		case k.Necessity != "":
		case slices.Contains(usualBefore, k.ID):
			k.Necessity = Usual
		default:
			k.Necessity = Needed
		}
	}
}
