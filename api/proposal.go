package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/api/problem"
	"bentside/domain"
	"bentside/domain/catalogue"
	"bentside/domain/job"
	"bentside/domain/scope"
	"bentside/openapi"

	"github.com/google/uuid"
)

// ListProposals lists the proposed changes of a job.
func (h *handlers) ListProposals(
	ctx context.Context, r ListProposalsRequestObject,
) (ListProposalsResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	actor := middleware.Actor(ctx)
	list, err := h.app.Proposals(ctx, actor, r.ID, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfProposal)
	items, err := h.proposals(ctx, r.ID, rows...)
	return ListProposals200JSONResponse{
		Body:    openapi.ProposalPage{Items: items, NextCursor: next.Cursor},
		Headers: ListProposals200ResponseHeaders{Link: next.Link},
	}, err
}

// proposals renders proposals of a job with what their findings stop now.
func (h *handlers) proposals(
	ctx context.Context, jobID uuid.UUID, list ...app.ShownProposal,
) ([]openapi.Proposal, error) {
	actor := middleware.Actor(ctx)
	stops, err := h.app.ProposalStops(ctx, actor, jobID, list)
	if err != nil {
		return nil, err
	}
	out := convert.All(list, viewOf(actor).proposal)
	for i := range out {
		out[i].Stops = convert.All(stops[i], convert.Stop)
	}
	return out, nil
}

func placeOfProposal(p app.ShownProposal) postgres.Place {
	return postgres.Place{CreatedAt: p.ProposedAt, ID: p.ID}
}

// CreateProposal proposes a change of a job.
func (h *handlers) CreateProposal(
	ctx context.Context, r CreateProposalRequestObject,
) (CreateProposalResponseObject, error) {
	b := r.Body
	n := app.NewProposal{
		Job: r.ID, Says: b.Says, Findings: convert.All(b.Findings, readFinding), Recorded: b.Recorded,
		Edits: convert.All(b.Edits, readEdit), Depth: catalogue.Depth(b.Depth),
	}
	if len(n.Findings)+len(n.Recorded)+len(n.Edits) == 0 && n.Depth == "" {
		return nil, problem.RefuseField("#",
			"must propose something: at least one of findings, recorded, edits and depth")
	}
	var err error
	if n.AnswerBy, err = convert.ParseOptionalDay(b.AnswerBy); err != nil {
		return nil, err
	}
	if b.Price != nil {
		in, err := h.amountReader(ctx)
		if err != nil {
			return nil, err
		}
		price := in.Decimal("#/price", b.Price)
		if n.Price = &price; in.Faults.Err() != nil {
			return nil, in.Faults.Err()
		}
	}
	p, err := h.app.Propose(ctx, middleware.Actor(ctx), n)
	if err != nil {
		return nil, err
	}
	out, err := h.proposals(ctx, r.ID, p)
	if err != nil {
		return nil, err
	}
	return CreateProposal201JSONResponse(out[0]), nil
}

// DecideProposal accepts or refuses a proposal.
func (h *handlers) DecideProposal(
	ctx context.Context, r DecideProposalRequestObject,
) (DecideProposalResponseObject, error) {
	d := job.Decision{
		Accepted: r.Body.Accept, Reason: r.Body.Reason,
		Again: convert.Texts[openapi.OperationCode, catalogue.Code](r.Body.Again),
	}
	if c := r.Body.Consent; c != nil {
		day, err := convert.ParseDay(c.GivenOn)
		if err != nil {
			return nil, err
		}
		d.Consent = &job.Consent{Party: c.Party, On: day, How: c.How}
	}
	p, err := h.app.Decide(ctx, middleware.Actor(ctx), r.ID, r.Proposal, d)
	if err != nil {
		return nil, err
	}
	out, err := h.proposals(ctx, r.ID, p)
	if err != nil {
		return nil, err
	}
	return DecideProposal201JSONResponse(out[0]), nil
}

// renderProposal renders a proposal and its effect, without money.
func renderProposal(v app.ShownProposal) openapi.Proposal {
	p, ch := v.Proposal, v.Change
	out := openapi.Proposal{
		ID: p.ID, Job: p.Job, Says: p.Text, Findings: convert.NotNull(ch.Findings),
		Depth: openapi.Depth(ch.Depth), Added: convert.All(ch.Added, renderProposedLine),
		Removed:        convert.All(ch.Removed, renderProposedLine),
		Changed:        convert.All(ch.Changed, renderProposedChange),
		FinishedAnyway: convert.NotNull(convert.Texts[catalogue.Code, openapi.OperationCode](ch.Kept)),
		Hours:          ch.Effect.Hours, Others: convert.All(ch.Effect.Others, renderShift),
		NeedsConsent: v.NeedsConsent, AnswerBy: convert.DayOrEmpty(p.AnswerBy), Hold: p.Hold,
		ProposedBy: p.ProposedBy, ProposedAt: p.ProposedAt,
	}
	if len(ch.Undone) > 0 {
		out.Undoes, out.UndoesNote = convert.All(ch.Undone, renderUndoneWork), job.UndoneNote(ch.Undone)
	}
	if e := ch.Effect; !e.ReadyBefore.IsZero() && !e.ReadyAfter.IsZero() {
		out.ReadyBefore = domain.DateOf(e.ReadyBefore).String()
		out.ReadyAfter = domain.DateOf(e.ReadyAfter).String()
	}
	if d := p.Decision; d != nil {
		out.Decision = &openapi.Decision{
			Accepted: d.Accepted, Reason: d.Reason, DecidedBy: d.DecidedBy, DecidedAt: d.DecidedAt,
			Again:  convert.Texts[catalogue.Code, openapi.OperationCode](d.Again),
			Stands: convert.Texts[catalogue.Code, openapi.OperationCode](p.Stands()),
		}
		if c := d.Consent; c != nil {
			out.Decision.Consent = &openapi.Consent{
				Party: c.Party, GivenOn: c.On.String(), How: c.How,
			}
		}
	}
	return out
}

func renderProposedLine(l scope.Line) openapi.ProposedLine {
	return openapi.ProposedLine{
		Operation: string(l.Operation), Name: l.Name, Hours: convert.ThreePoint(l.Hours),
		Reasons: convert.All(l.Reasons, convert.Reason),
	}
}

func renderProposedChange(x job.LineChange) openapi.ProposedChange {
	return openapi.ProposedChange{
		Operation: string(x.After.Operation), Name: x.After.Name,
		HoursBefore: convert.ThreePoint(x.Before.Hours), HoursAfter: convert.ThreePoint(x.After.Hours),
	}
}

func renderUndoneWork(u job.LostWork) openapi.UndoneWork {
	out := openapi.UndoneWork{
		Operation: string(u.Operation), Name: u.Name, Hours: u.Hours, Because: string(u.Because),
	}
	if u.Caution != "" {
		out.Caution = u.Caution + " " + catalogue.Deference
	}
	return out
}

func renderShift(s job.Shift) openapi.ProposedShift {
	return openapi.ProposedShift{
		Job: s.Job, Before: domain.DateOf(s.Before).String(), After: domain.DateOf(s.After).String(),
	}
}
