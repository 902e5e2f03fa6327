package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListTokens lists the workshop's tokens.
func (h *handlers) ListTokens(ctx context.Context, _ ListTokensRequestObject) (ListTokensResponseObject, error) {
	tokens, err := h.app.Read(ctx, actorOf(ctx)).Tokens(ctx)
	if err != nil {
		return nil, err
	}
	return ListTokens200JSONResponse{Items: renderAll(tokens, renderToken)}, nil
}

// IssueToken issues a token; what a repeated request gets is without its
// secret.
func (h *handlers) IssueToken(ctx context.Context, r IssueTokenRequestObject) (IssueTokenResponseObject, error) {
	n := app.NewToken{Note: r.Body.Note}
	if m := r.Body.Member; m != nil {
		n.Name, n.Role = m.Name, domain.Role(m.Role)
	}
	if at := r.Body.ExpiresAt; !at.IsZero() {
		n.ExpiresAt = &at
	}
	issued, err := h.app.IssueToken(ctx, actorOf(ctx), n)
	if err != nil {
		return nil, err
	}
	token := renderToken(issued.Token)
	if err := keepInstead(ctx, openapi.IssuedToken{Token: token}); err != nil {
		return nil, err
	}
	return IssueToken201JSONResponse{
		Body:    openapi.IssuedToken{Token: token, Secret: issued.Secret},
		Headers: IssueToken201ResponseHeaders{Location: "/v1/tokens/" + token.ID.String()},
	}, nil
}

// RevokeToken ends a token.
func (h *handlers) RevokeToken(ctx context.Context, r RevokeTokenRequestObject) (RevokeTokenResponseObject, error) {
	return RevokeToken204Response{}, h.app.RevokeToken(ctx, actorOf(ctx), r.ID)
}

func renderToken(t postgres.Token) openapi.Token {
	return openapi.Token{
		ID: t.ID, User: t.User, Name: t.UserName, Role: openapi.Role(t.Role), Note: t.Note,
		ExpiresAt: orZeroTime(t.ExpiresAt), RevokedAt: orZeroTime(t.RevokedAt), CreatedAt: t.CreatedAt,
	}
}
