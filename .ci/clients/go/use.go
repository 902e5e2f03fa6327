// Command main uses the generated client: it lists the grands that the workshop owns.
package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
)

func main() {
	if err := list(
		context.Background(), os.Getenv("BENTSIDE_URL"), os.Getenv("BENTSIDE_TOKEN"),
	); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func list(ctx context.Context, url, token string) error {
	client, err := NewClientWithResponses(url, WithRequestEditorFn(func(
		_ context.Context, r *http.Request,
	) error {
		r.Header.Set("Authorization", "Bearer "+token)
		return nil
	}))
	if err != nil {
		return err
	}
	kind, owner := KindGrand, OwnershipStock
	answer, err := client.ListInstrumentsWithResponse(
		ctx, &ListInstrumentsParams{Kind: &kind, Owner: &owner},
	)
	if err != nil {
		return err
	}
	if answer.JSON200 == nil {
		return fmt.Errorf("the service answered %s", answer.Status())
	}
	for _, i := range answer.JSON200.Items {
		fmt.Printf("%s, %d mm, %s\n", i.Maker, i.SizeMm, i.State)
	}
	return nil
}
