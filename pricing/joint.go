package pricing

import (
	"slices"

	"bentside/pricing/money"
	"bentside/pricing/odds"

	"github.com/shopspring/decimal"
)

var (
	tenth  = decimal.New(1, -1)
	ninety = decimal.New(9, -1)
)

// spread sets what the scope may come to in all, and the low and high totals from it.
func (e *Estimate) spread(lines []Line, rates Rates, together odds.Together) error {
	var cost, time []odds.Piece
	for i := range lines {
		pieces, err := lines[i].pieces(rates)
		if err != nil {
			return err
		}
		cost = append(cost, pieces...)
		if hours := lines[i].Hours; !hours.IsZero() {
			piece, err := lines[i].piece(hundredths(hours, e.Currency))
			if err != nil {
				return err
			}
			piece.Worn = true
			time = append(time, piece)
		}
	}
	e.basis = &basis{lines: lines, rates: rates, together: together}
	var err error
	if e.work, e.basis.summed, err = sumPieces(
		e.Currency, cost, e.Costs.Total.Expected, together,
	); err != nil {
		return err
	}
	total := e.work.WhereFit(together.Unfit)
	e.Costs.Total.Low, e.Costs.Total.High = total.Quantile(tenth), total.Quantile(ninety)
	expected := hundredths(Hours{Likely: e.Hours.Expected}, e.Currency).Likely
	var tied odds.Tied
	if tied, e.basis.time, err = sumPieces(e.Currency, time, expected, together); err != nil {
		return err
	}
	e.spreadHours(tied, together.Unfit)
	return nil
}

// spreadHours sets the low and high hours from hundredths of an hour.
func (e *Estimate) spreadHours(hours odds.Tied, unfit *odds.ByWear) {
	taken := hours.WhereFit(unfit)
	e.Hours.Low = decimal.New(taken.Quantile(tenth).Minor(), -2)
	e.Hours.High = decimal.New(taken.Quantile(ninety).Minor(), -2)
}

// sumPieces returns the total of pieces, and what it is in each world; exactly the known one where
// there is nothing that it depends on.
func sumPieces(
	c money.Currency, pieces []odds.Piece, known money.Amount, together odds.Together,
) (odds.Tied, *odds.Summed, error) {
	doubtful := func(p odds.Piece) bool {
		spreads := p.Worn && !(together.JobSD == 0 && together.GroupSD == 0)
		always := p.In == nil && p.Chance.Equal(decimal.NewFromInt(1)) ||
			p.In != nil && !slices.Contains(p.In, false)
		return spreads || !always || p.Of.Low() != p.Of.High()
	}
	if !slices.ContainsFunc(pieces, doubtful) {
		return odds.Untied(odds.Certain(known)), nil, nil
	}
	summed, err := odds.SumByWorld(c, pieces, together)
	if err != nil {
		return odds.Tied{}, nil, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	tied, err := summed.Weighed(together.Worlds)
	if err != nil {
		return odds.Tied{}, nil, &ValueError{Where: "estimate", What: "total", Err: err}
	}
	return tied, &summed, nil
}

// hundredths returns hours as a range of hundredths of an hour, for package odds, which computes in
// minor units.
func hundredths(h Hours, c money.Currency) Range {
	minor := func(hours decimal.Decimal) money.Amount {
		return money.FromMinor(hours.Shift(2).Round(0).IntPart(), c)
	}
	return Range{Low: minor(h.Low), Likely: minor(h.Likely), High: minor(h.High)}
}

// pieces returns what a line comes to where it is needed. What is paid by the hour goes along with
// the job and its group; materials and what a firm asks don't. A line with a chance of its own,
// and no worlds that decide, stays one piece, since all of it is needed or nothing.
func (l Line) pieces(rates Rates) ([]odds.Piece, error) {
	type kept struct {
		steps []factors
		in    []bool
		worn  bool
	}
	var list []kept
	whole := l.In == nil && !l.Chance.Equal(decimal.NewFromInt(1))
	for _, f := range l.factors(rates) {
		in, worn := f.in, f.kind == Labour || f.kind == Overhead
		if in == nil {
			in = l.In
		}
		i := slices.IndexFunc(list, func(k kept) bool {
			return whole || k.worn == worn && slices.Equal(k.in, in)
		})
		if i < 0 {
			list, i = append(list, kept{in: in, worn: worn}), len(list)
		}
		list[i].steps = append(list[i].steps, f)
	}
	pieces := make([]odds.Piece, 0, len(list))
	for _, k := range list {
		total := ZeroRange(rates.Currency)
		for _, f := range k.steps {
			step, err := f.multiply(same(decimal.NewFromInt(1)), decimal.NewFromInt(1), rates.Currency)
			if err != nil {
				return nil, &ValueError{Where: l.Ref, What: f.kind.String() + " " + f.ref, Err: err}
			}
			total = total.Add(step.amounts())
		}
		of := l
		of.In = k.in
		piece, err := of.piece(total)
		if err != nil {
			return nil, err
		}
		piece.Worn = k.worn
		pieces = append(pieces, piece)
	}
	return pieces, nil
}

// piece returns an amount of three points that is due whenever the line is.
func (l Line) piece(r Range) (odds.Piece, error) {
	of, err := odds.PERT(r.Low, r.Likely, r.High)
	if err != nil {
		return odds.Piece{}, &ValueError{Where: l.Ref, What: "three points", Err: err}
	}
	return odds.Piece{Of: of, Chance: l.Chance, In: l.In, Group: l.Group}, nil
}

// HoursAt returns how many hours the scope may take in all for its expected cost to come to an
// amount: the expected hours, and what is left over at the average cost of one of them, to a
// hundredth, rounded down. It is false where no hours are in the estimate, and nothing where even
// without hours it costs more.
func (e Estimate) HoursAt(work money.Amount) (decimal.Decimal, bool) {
	hourly := e.Costs.Labour.Expected.Add(e.Costs.Overhead.Expected)
	if hourly.Sign() <= 0 || !e.Hours.Expected.IsPositive() {
		return decimal.Zero, false
	}
	over := work.Sub(e.Costs.Total.Expected).Decimal()
	hours := e.Hours.Expected.Add(over.Mul(e.Hours.Expected).DivRound(hourly.Decimal(), 6))
	return decimal.Max(hours, decimal.Zero).RoundFloor(2), true
}
