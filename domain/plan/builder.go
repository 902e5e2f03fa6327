package plan

import (
	"fmt"
	"slices"

	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/scope"
	"bentside/schedule"

	"github.com/shopspring/decimal"
)

// networkBuilder puts the work on one instrument into a network.
type networkBuilder struct {
	*Network
	c   *catalogue.Catalogue
	job instrumentWork

	lines      map[catalogue.Code]*scope.Line // that the job consists of
	codes      []catalogue.Code               // of lines, in the order of the scope
	parts      []string                       // that are worked on by themselves
	chains     map[catalogue.Code]chain
	successors map[catalogue.Code][]catalogue.Code // of an operation: those that wait for it
	// first is the treatment of what stops work on the instrument, with what leads up to it; nil: not
	// asked for yet.
	first map[catalogue.Code]bool
}

// chain is the activities of one operation by their positions, first and last; they are the same
// where there is only one.
type chain struct{ first, last int }

// add puts the work on one instrument into the network. No two instruments may have the same name.
func (n *Network) add(c *catalogue.Catalogue, work instrumentWork) error {
	b := &networkBuilder{
		Network: n, c: c, job: work,
		lines: map[catalogue.Code]*scope.Line{}, chains: map[catalogue.Code]chain{},
		successors: map[catalogue.Code][]catalogue.Code{},
	}
	b.selectLines()
	group := schedule.Group{Name: b.instrumentName(), Present: work.present(c)}
	for _, code := range b.codes {
		if err := b.addChain(code); err != nil {
			return err
		}
		for i := b.chains[code].first; i <= b.chains[code].last; i++ {
			group.Activities = append(group.Activities, i)
		}
	}
	n.Instruments = append(n.Instruments, group)
	b.reserveForTails()
	for _, code := range b.codes {
		if b.sentOut(code) != nil {
			continue
		}
		for _, p := range slices.Concat(b.precedencesInto(code), b.treatmentInto(code)) {
			b.addPrecedence(p)
		}
	}
	for _, code := range b.codes {
		if b.sentOut(code) != nil {
			b.waitForSent(code)
			continue
		}
		b.waitForReveal(code)
		b.waitForParts(code)
	}
	b.waitForAll()
	return nil
}

// selectLines takes the lines of the scope that the job consists of.
func (b *networkBuilder) selectLines() {
	seen := map[string]bool{}
	for _, l := range b.linesInOrder() {
		op := scope.JobOperation(b.c, *l)
		if op == nil || !l.Planned() {
			continue
		}
		b.lines[op.Code] = l
		b.codes = append(b.codes, op.Code)
		if part := op.Subassembly; part != "" && part != whole && !seen[part] {
			seen[part] = true
			b.parts = append(b.parts, part)
		}
	}
	if len(b.parts) == 0 {
		b.parts = []string{whole}
	}
}

// addChain adds the activities of one operation: a single one, or one for each spaced sitting.
func (b *networkBuilder) addChain(code catalogue.Code) error {
	op, l := b.c.Operation(code), b.lines[code]
	a := schedule.Activity{
		Name: string(code), Tail: minutesOf(op.Tail.Likely) + b.turnRound(code), Needs: b.needs(op, l),
		Order: b.job.order,
	}
	if b.job.name != "" {
		a.Name = b.job.name + " " + a.Name
	}
	why := b.applySuspensions(op, &a)
	a.UnderWay = b.begunInOrder(code)
	n, gap := 1, schedule.Minutes(0)
	if l.Making != catalogue.Outside {
		a.Work = ticksOf(b.crew.paidHours(l.Hours.Likely, op.Skill), op.Crew)
	}
	if op.Sessions != nil && l.Making != catalogue.Outside {
		// The hours left of a job under way may not fill every sitting.
		n, gap = max(min(l.Sessions, int(a.Work)), 1), gapOf(op)
	}
	sittings, links, err := schedule.Sessions(a, n, gap)
	if err != nil {
		return fmt.Errorf("lay out %s: %w", code, err)
	}
	first := len(b.Activities)
	for i, x := range sittings {
		if i < len(sittings)-1 && placeHold(op) == schedule.HoldThroughTail {
			x.Tail = gap // between two sittings it stays as open as after the last
		}
		b.Activities = append(b.Activities, x)
		b.releaseReasons = append(b.releaseReasons, why)
		b.unlifted = append(b.unlifted, b.unliftedAt(code))
		why = "" // of the first sitting only
		b.sittings = append(b.sittings, sitting{
			instrument: b.job.name, operation: code, name: l.Name, number: i + 1,
			ready: code == b.c.OperationMarked(catalogue.ReadyMark),
		})
	}
	for _, link := range links {
		b.addLink(link, fmt.Sprintf("at least %s h after the sitting before", op.Sessions.GapHours))
	}
	b.chains[code] = chain{first: first, last: len(b.Activities) - 1}
	if at, ok := b.ended(code); ok && op.Sessions != nil {
		why := fmt.Sprintf("at least %s h after the last sitting, on %s", op.Sessions.GapHours, dayOf(at))
		b.release(code, minutesAfter(at, gap), why)
	}
	return nil
}

// gapOf returns how long must lie between two sittings of an operation.
func gapOf(op *catalogue.Operation) schedule.Minutes {
	if op.Sessions == nil {
		return 0
	}
	return minutesOf(op.Sessions.GapHours)
}

// turnRound returns how long an outside firm has the work once it is sent; nothing for work of our
// own, and for what is out already.
func (b *networkBuilder) turnRound(code catalogue.Code) schedule.Minutes {
	op := b.c.Operation(code)
	if b.lines[code].Making != catalogue.Outside || op.Buying == nil || b.sentOut(code) != nil {
		return 0
	}
	return weeksOf(op.Buying.TurnRound.Likely)
}

func (b *networkBuilder) addLink(l schedule.Link, why string) {
	b.Links = append(b.Links, l)
	b.linkReasons = append(b.linkReasons, why)
}

var (
	ticksPerHour = decimal.NewFromInt(int64(schedule.TicksPerHour))
	// hoursPerWeek counts every hour of a calendar week.
	hoursPerWeek = decimal.NewFromInt(7 * 24)
)

// ticksOf returns the quarter hours that so many people take to do person-hours of work, rounded
// up.
func ticksOf(hours decimal.Decimal, people int) schedule.Ticks {
	n := decimal.NewFromInt(int64(max(people, 1)))
	return schedule.Ticks(hours.Mul(ticksPerHour).DivRound(n, domain.DecimalPlaces).Ceil().IntPart())
}

// minutesOf converts elapsed hours to minutes, rounded up.
func minutesOf(hours decimal.Decimal) schedule.Minutes {
	return schedule.Minutes(hours.Mul(decimal.NewFromInt(int64(schedule.Hour))).Ceil().IntPart())
}

func weeksOf(weeks decimal.Decimal) schedule.Minutes { return minutesOf(weeks.Mul(hoursPerWeek)) }

// linesInOrder returns the lines of the work in the order of the catalogue, so that the order in
// which a job lists its tasks moves no date.
func (b *networkBuilder) linesInOrder() []*scope.Line {
	lines := make([]*scope.Line, len(b.job.scope.Lines))
	for i := range b.job.scope.Lines {
		lines[i] = &b.job.scope.Lines[i]
	}
	slices.SortStableFunc(lines, func(x, y *scope.Line) int {
		return b.c.Position(x.Operation) - b.c.Position(y.Operation)
	})
	return lines
}
