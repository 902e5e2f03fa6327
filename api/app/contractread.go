package app

import (
	"context"

	"bentside/api/postgres"
	"bentside/domain"
	"bentside/domain/contract"
	"bentside/domain/job"
	"bentside/pricing/money"

	"github.com/google/uuid"
)

// Contract is a client's job as the books see it at the end of a day.
type Contract struct {
	postgres.ClientJob
	On       domain.Date
	Policy   domain.RevenuePolicy
	Accepted []contract.Accepted // by that day
	// AsPosted is by the days of posting, AsKnown by the days on which things took place. What the
	// rest of the work will cost is in both what is known of it today.
	AsPosted, AsKnown ContractPosition
}

// ContractPosition is a position with how far the contract had come.
type ContractPosition struct {
	Stage contract.Stage
	contract.Position
	Kept money.Amount // of deposits, without tax
}

// Contracts are those of a workshop at the end of a day: a page of them, and the sums of all.
type Contracts struct {
	On                domain.Date
	Policy            domain.RevenuePolicy
	Page              []domain.Versioned[Contract]
	Count             int
	AsPosted, AsKnown ContractPosition
}

// Contract returns how the contract of a client's job stands at the end of a day, today where
// none is given.
func (a *App) Contract(
	ctx context.Context, actor Actor, id uuid.UUID, day domain.Date,
) (Contract, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return Contract{}, err
	}
	load := func(ctx context.Context, s postgres.Snapshot) (contractsFile, error) {
		if _, err := s.Job(ctx, id); err != nil {
			return contractsFile{}, err
		}
		f, err := a.loadContracts(ctx, s, day, []uuid.UUID{id})
		if err == nil && !f.jobs[0].Clients {
			return f, domain.Refuse(domain.Conflict, "the job is on an instrument of our own, and under no "+
				"contract with a client. What comes of it is the outcome of the instrument")
		}
		return f, err
	}
	c, err := compute(ctx, a, actor, brief, load, func(_ context.Context, f contractsFile) (
		[]Contract, error,
	) {
		return f.contracts()
	})
	if err != nil {
		return Contract{}, err
	}
	return c.out[0], nil
}

// Contracts returns a page of the contracts of all clients' jobs that were accepted by the end of
// a day, in the order of recording, with the sums of all of them.
func (a *App) Contracts(
	ctx context.Context, actor Actor, day domain.Date, p postgres.Page,
) (Contracts, error) {
	if err := actor.Require(domain.ReadMoney); err != nil {
		return Contracts{}, err
	}
	type file struct {
		contractsFile
		page []domain.Versioned[uuid.UUID]
	}
	load := func(ctx context.Context, s postgres.Snapshot) (f file, err error) {
		if day, err = pastDay(ctx, s, day); err != nil {
			return f, err
		}
		if f.page, err = s.ClientJobIDs(ctx, day, p); err != nil {
			return f, err
		}
		all, err := s.ClientJobIDs(ctx, day, postgres.Whole)
		if err != nil {
			return f, err
		}
		f.contractsFile, err = a.loadContracts(ctx, s, day, values(all))
		return f, err
	}
	c, err := compute(ctx, a, actor, long, load, func(_ context.Context, f file) (Contracts, error) {
		list, err := f.contracts()
		if err != nil {
			return Contracts{}, err
		}
		out := Contracts{On: f.on, Policy: f.policy, Count: len(list)}
		out.AsPosted, out.AsKnown = noPosition(f.currency), noPosition(f.currency)
		byJob := make(map[uuid.UUID]Contract, len(list))
		for _, x := range list {
			byJob[x.Job] = x
			out.AsPosted, out.AsKnown = out.AsPosted.add(x.AsPosted), out.AsKnown.add(x.AsKnown)
		}
		for _, id := range f.page {
			out.Page = append(out.Page, domain.Versioned[Contract]{
				Value: byJob[id.Value], CreatedAt: id.CreatedAt,
			})
		}
		return out, nil
	})
	return c.out, err
}

// contractsFile is what the contracts of some jobs follow from.
type contractsFile struct {
	on       domain.Date
	policy   domain.RevenuePolicy
	currency money.Currency
	jobs     []postgres.ClientJob
	accepted map[uuid.UUID][]contract.Accepted
	// unfinished are those whose work isn't finished and settled.
	unfinished map[uuid.UUID]costFile
}

func (a *App) loadContracts(
	ctx context.Context, s postgres.Snapshot, day domain.Date, ids []uuid.UUID,
) (f contractsFile, err error) {
	if f.on, err = pastDay(ctx, s, day); err != nil {
		return f, err
	}
	w, err := s.Workshop(ctx)
	if err != nil {
		return f, err
	}
	f.policy = w.Value.Revenue
	if f.currency, err = money.ParseCurrency(w.Value.Terms.Currency); err != nil {
		return f, err
	}
	if f.jobs, err = s.ClientJobs(ctx, f.on, ids); err != nil {
		return f, err
	}
	if f.accepted, _, err = acceptedBy(ctx, s.Reader, w.Value, f.jobs); err != nil {
		return f, err
	}
	f.unfinished = map[uuid.UUID]costFile{}
	for _, j := range f.jobs {
		if j.Outcome == job.Finished || !j.Clients {
			continue
		}
		stored, err := s.Job(ctx, j.Job)
		if err != nil {
			return f, err
		}
		if f.unfinished[j.Job], err = a.loadCost(ctx, s, stored.Value); err != nil {
			return f, err
		}
	}
	return f, nil
}

// pastDay returns a day that has come, today where none is given.
func pastDay(
	ctx context.Context, s postgres.Snapshot, day domain.Date,
) (domain.Date, error) {
	today, err := dayIn(ctx, s.Reader, s.At)
	switch {
	case err != nil || day.IsZero():
		return today, err
	case day.DaysUntil(today) < 0:
		return day, domain.RefuseAt(domain.Invalid, "#/query/as_of",
			"must be today, %s, or earlier", today)
	}
	return day, nil
}

// contracts works out all of them, in the order of the jobs.
func (f contractsFile) contracts() ([]Contract, error) {
	list := make([]Contract, 0, len(f.jobs))
	for _, j := range f.jobs {
		c := Contract{ClientJob: j, On: f.on, Policy: f.policy}
		for _, x := range f.accepted[j.Job] {
			if x.On.Compare(f.on) <= 0 {
				c.Accepted = append(c.Accepted, x)
			}
		}
		whole := j.Now.Effort // what the work comes to
		if of, open := f.unfinished[j.Job]; open {
			left, err := of.left()
			if err != nil {
				return nil, err
			}
			whole = whole.Add(left)
		}
		var err error
		if c.AsPosted, err = f.position(c, j.Posted, whole, j.ClosingPostedOn,
			func(s contract.Settlement) domain.Date { return s.PostedOn }); err != nil {
			return nil, err
		}
		if c.AsKnown, err = f.position(c, j.Known, whole, j.ClosedOn,
			func(s contract.Settlement) domain.Date { return s.On }); err != nil {
			return nil, err
		}
		list = append(list, c)
	}
	return list, nil
}

// position works out one of the two views of a contract, given what its work comes to and when it
// ended and was settled in that view.
func (f contractsFile) position(
	c Contract, sums postgres.ContractSums, whole money.Amount, ended domain.Date,
	settled func(contract.Settlement) domain.Date,
) (ContractPosition, error) {
	left := whole.Sub(sums.Effort)
	if left.Sign() < 0 {
		left = money.Zero(f.currency)
	}
	m := contract.Measure{
		Policy: f.policy, Stage: contract.UnderWay,
		Price:  contract.PriceOn(c.Accepted, f.on, f.currency),
		Effort: sums.Effort, Left: left, Cost: sums.Cost,
		Invoiced: sums.Invoiced.Add(c.BilledBefore), Held: sums.Held,
	}
	if !ended.IsZero() && ended.Compare(f.on) <= 0 {
		switch x := c.Settlement; {
		case c.Outcome == job.Finished:
			m.Stage = contract.Finished
		case x != nil && settled(*x).Compare(f.on) <= 0:
			m.Stage = contract.Settled
		default:
			m.Stage = contract.GivenUp
		}
	}
	p, err := m.Position()
	return ContractPosition{Stage: m.Stage, Position: p, Kept: sums.Kept}, err
}

// noPosition returns a position without anything in it.
func noPosition(c money.Currency) ContractPosition {
	zero := money.Zero(c)
	return ContractPosition{Position: contract.Position{
		Price: zero, Cost: zero, Expected: zero, Revenue: zero, Expensed: zero, Deferred: zero,
		Loss: zero, Invoiced: zero, Asset: zero, Liability: zero, Held: zero,
	}, Kept: zero}
}

// add returns the sum of two positions, without stage and progress.
func (p ContractPosition) add(q ContractPosition) ContractPosition {
	return ContractPosition{Position: p.Position.Add(q.Position), Kept: p.Kept.Add(q.Kept)}
}
