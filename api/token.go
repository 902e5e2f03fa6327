package api

import (
	"context"

	"bentside/api/app"
	"bentside/api/convert"
	"bentside/api/middleware"
	"bentside/api/page"
	"bentside/api/postgres"
	"bentside/domain"
	"bentside/openapi"
)

// ListTokens lists a page of the workshop's tokens.
func (h *handlers) ListTokens(
	ctx context.Context, r ListTokensRequestObject,
) (ListTokensResponseObject, error) {
	asked, err := h.cursors.Read(ctx, r.Params.Cursor, r.Params.Limit)
	if err != nil {
		return nil, err
	}
	list, err := h.app.Read(ctx, middleware.Actor(ctx)).Tokens(ctx, asked)
	if err != nil {
		return nil, err
	}
	rows, next := page.Cut(ctx, h.cursors, asked, list, placeOfToken)
	return ListTokens200JSONResponse{
		Body:    openapi.TokenPage{Items: convert.All(rows, renderToken), NextCursor: next.Cursor},
		Headers: ListTokens200ResponseHeaders{Link: next.Link},
	}, nil
}

func placeOfToken(t postgres.Token) postgres.Place {
	return postgres.Place{CreatedAt: t.CreatedAt, ID: t.ID}
}

// IssueToken issues a token. The answer that a repeated request gets does not hold its secret.
func (h *handlers) IssueToken(
	ctx context.Context, r IssueTokenRequestObject,
) (IssueTokenResponseObject, error) {
	n := app.NewToken{Note: r.Body.Note}
	if m := r.Body.Member; m != nil {
		n.Name, n.Role = m.Name, domain.Role(m.Role)
	}
	if at := r.Body.ExpiresAt; !at.IsZero() {
		n.ExpiresAt = &at
	}
	issued, err := h.app.IssueToken(ctx, middleware.Actor(ctx), n)
	if err != nil {
		return nil, err
	}
	token := renderToken(issued.Token)
	if err := middleware.KeepInstead(ctx, openapi.IssuedToken{Token: token}); err != nil {
		return nil, err
	}
	return IssueToken201JSONResponse{
		Body:    openapi.IssuedToken{Token: token, Secret: issued.Secret},
		Headers: IssueToken201ResponseHeaders{Location: "/v1/tokens/" + token.ID.String()},
	}, nil
}

// RevokeToken revokes a token.
func (h *handlers) RevokeToken(
	ctx context.Context, r RevokeTokenRequestObject,
) (RevokeTokenResponseObject, error) {
	return RevokeToken204Response{}, h.app.RevokeToken(ctx, middleware.Actor(ctx), r.ID)
}

func renderToken(t postgres.Token) openapi.Token {
	return openapi.Token{
		ID: t.ID, User: t.User, Name: t.UserName, Role: openapi.Role(t.Role), Note: t.Note,
		ExpiresAt: convert.TimeOrZero(t.ExpiresAt), RevokedAt: convert.TimeOrZero(t.RevokedAt),
		CreatedAt: t.CreatedAt,
	}
}
