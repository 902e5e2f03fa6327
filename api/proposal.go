package api

import (
	"context"

	"bentside/api/app"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/money"
	"bentside/openapi"
)

// ListProposals lists the changes of a job that were proposed.
func (h *handlers) ListProposals(ctx context.Context, r ListProposalsRequestObject) (ListProposalsResponseObject, error) {
	actor := actorOf(ctx)
	list, err := h.app.Proposals(ctx, actor, r.ID)
	if err != nil {
		return nil, err
	}
	return ListProposals200JSONResponse{
		Items: renderAll(list, func(p app.ShownProposal) openapi.Proposal { return showProposal(p, viewOf(actor)) }),
	}, nil
}

// Propose proposes a change of a job.
func (h *handlers) Propose(ctx context.Context, r ProposeRequestObject) (ProposeResponseObject, error) {
	b := r.Body
	n := app.NewProposal{
		Job: r.ID, Says: b.Says, Findings: renderAll(b.Findings, readFinding), Recorded: b.Recorded,
		Edits: renderAll(b.Edits, readEdit), Depth: catalogue.Depth(b.Depth),
	}
	if len(n.Findings)+len(n.Recorded)+len(n.Edits) == 0 && n.Depth == "" {
		return nil, refuseField("#", "proposes nothing: at least one of findings, recorded, edits and depth is needed")
	}
	var err error
	if n.AnswerBy, err = dayOrNone(b.AnswerBy); err != nil {
		return nil, err
	}
	if b.Price != nil {
		in, err := h.amounts(ctx)
		if err != nil {
			return nil, err
		}
		price := in.decimal("#/price", b.Price)
		if n.Price = &price; in.faults.Err() != nil {
			return nil, in.faults.Err()
		}
	}
	p, err := h.app.Propose(ctx, actorOf(ctx), n)
	if err != nil {
		return nil, err
	}
	return Propose201JSONResponse(showProposal(p, viewOf(actorOf(ctx)))), nil
}

// Decide accepts or refuses a proposal.
func (h *handlers) Decide(ctx context.Context, r DecideRequestObject) (DecideResponseObject, error) {
	d := domain.Decision{Accepted: r.Body.Accept, Reason: r.Body.Reason}
	if c := r.Body.Consent; c != nil {
		day, err := parseDay(c.GivenOn)
		if err != nil {
			return nil, err
		}
		d.Consent = &domain.Consent{Party: c.Party, On: day, How: c.How}
	}
	p, err := h.app.Decide(ctx, actorOf(ctx), r.ID, r.Proposal, d)
	if err != nil {
		return nil, err
	}
	return Decide201JSONResponse(showProposal(p, viewOf(actorOf(ctx)))), nil
}

// ListSpendingLimits lists what a client agreed to spend without being asked.
func (h *handlers) ListSpendingLimits(ctx context.Context, r ListSpendingLimitsRequestObject) (ListSpendingLimitsResponseObject, error) {
	reader := h.app.Read(ctx, actorOf(ctx))
	if _, err := reader.Job(ctx, r.ID); err != nil {
		return nil, err
	}
	list, err := reader.SpendingLimits(ctx, r.ID)
	if err != nil {
		return nil, err
	}
	return ListSpendingLimits200JSONResponse{Items: renderAll(list, renderSpendingLimit)}, nil
}

// AgreeLimit records a spending limit.
func (h *handlers) AgreeLimit(ctx context.Context, r AgreeLimitRequestObject) (AgreeLimitResponseObject, error) {
	day, err := parseDay(r.Body.AgreedOn)
	if err != nil {
		return nil, err
	}
	in, err := h.amounts(ctx)
	if err != nil {
		return nil, err
	}
	l := domain.SpendingLimit{Limit: in.amount("#/limit", &r.Body.Limit), Party: r.Body.Party, AgreedOn: day, How: r.Body.How}
	if err := in.faults.Err(); err != nil {
		return nil, err
	}
	if l, err = h.app.AgreeLimit(ctx, actorOf(ctx), r.ID, l); err != nil {
		return nil, err
	}
	return AgreeLimit201JSONResponse(renderSpendingLimit(l)), nil
}

func renderSpendingLimit(l domain.SpendingLimit) openapi.SpendingLimit {
	return openapi.SpendingLimit{
		ID: l.ID, Limit: renderMoney(l.Limit), Party: l.Party, AgreedOn: l.AgreedOn.String(), How: l.How, RecordedAt: l.At,
	}
}

// renderProposal renders what a proposal would do, without money.
func renderProposal(v app.ShownProposal) openapi.Proposal {
	p, ch := v.Proposal, v.Change
	out := openapi.Proposal{
		ID: p.ID, Job: p.Job, Says: p.Says, Findings: orEmptyList(ch.Findings), Depth: openapi.Depth(ch.Depth),
		Added: renderAll(ch.Added, renderProposedLine), Removed: renderAll(ch.Removed, renderProposedLine),
		Changed:        renderAll(ch.Changed, renderProposedChange),
		FinishedAnyway: orEmptyList(texts[catalogue.Code, openapi.OperationCode](ch.Kept)), Hours: ch.Effect.Hours,
		Others: renderAll(ch.Effect.Others, renderShift), NeedsConsent: v.NeedsConsent, AnswerBy: orNoDay(p.AnswerBy), Hold: p.Hold,
		ProposedBy: p.ProposedBy, ProposedAt: p.ProposedAt,
	}
	if e := ch.Effect; !e.ReadyBefore.IsZero() && !e.ReadyAfter.IsZero() {
		out.ReadyBefore, out.ReadyAfter = domain.DateOf(e.ReadyBefore).String(), domain.DateOf(e.ReadyAfter).String()
	}
	if d := p.Decision; d != nil {
		out.Decision = &openapi.Decision{Accepted: d.Accepted, Reason: d.Reason, DecidedBy: d.DecidedBy, DecidedAt: d.DecidedAt}
		if c := d.Consent; c != nil {
			out.Decision.Consent = &openapi.Consent{Party: c.Party, GivenOn: c.On.String(), How: c.How}
		}
	}
	return out
}

func renderProposedLine(l domain.Line) openapi.ProposedLine {
	return openapi.ProposedLine{
		Operation: string(l.Operation), Name: l.Name, Hours: renderThreePoint(l.Hours), Reasons: renderAll(l.Reasons, renderReason),
	}
}

func renderProposedChange(x domain.LineChange) openapi.ProposedChange {
	return openapi.ProposedChange{
		Operation: string(x.After.Operation), Name: x.After.Name,
		HoursBefore: renderThreePoint(x.Before.Hours), HoursAfter: renderThreePoint(x.After.Hours),
	}
}

func renderShift(s domain.Shift) openapi.ProposedShift {
	return openapi.ProposedShift{Job: s.Job, Before: domain.DateOf(s.Before).String(), After: domain.DateOf(s.After).String()}
}

// amounts reads sums in the workshop's currency.
func (h *handlers) amounts(ctx context.Context) (*amountIn, error) {
	w, err := h.app.Read(ctx, actorOf(ctx)).Workshop(ctx)
	if err != nil {
		return nil, err
	}
	return &amountIn{currency: w.Value.Terms.Currency}, nil
}

// amount is the sum in the workshop's currency; nothing where it was left out.
func (r *amountIn) amount(pointer string, m *openapi.Money) money.Amount {
	c, err := money.ParseCurrency(r.currency)
	if err != nil {
		r.faults.Add(pointer+"/currency", "%v", err)
		return money.Amount{}
	}
	if m == nil {
		return money.Zero(c)
	}
	d := r.decimal(pointer, m)
	a, err := money.Round(d, c, money.HalfUp)
	if err != nil {
		r.faults.Add(pointer+"/amount", "%v", err)
	}
	return a
}

// dayOrNone reads a day that may be left out.
func dayOrNone(day openapi.Day) (domain.Date, error) {
	if day == "" {
		return domain.Date{}, nil
	}
	return parseDay(day)
}
