package app

import (
	"context"
	"errors"
	"sync"
	"time"

	"bentside/api/postgres"
	"bentside/domain"

	"github.com/google/uuid"
)

// keyed is a request under a key. Each of its runs is one transaction, and no computation is within
// one: where the request asks for one, the transaction is rolled back, the result is computed
// without it, and the request runs again from its start, in a new transaction. This time it gets
// the result at once and goes on to write. A request asks for its computations in the same order
// each time.
type keyed struct {
	tx      *postgres.Tx // while it runs
	results []result     // in the order in which they were asked for
	given   int          // how many of them this run has been given
	wanted  func(context.Context) (any, error)
	alone   bool // what is wanted is to be computed alone
	moved   int  // how often its foundations changed meanwhile
}

type keyedKey struct{}

// result is what a computation came to. Its error is the answer to the request.
type result struct {
	value any
	err   error
}

// errComputeFirst ends the transaction of a request that needs something computed.
var errComputeFirst = errors.New("what the request needs is computed first, without a transaction")

// result returns the next result, or errComputeFirst if it isn't there yet.
func (k *keyed) result(work func(context.Context) (any, error)) (any, error) {
	if k.given == len(k.results) {
		k.wanted = work
		return nil, errComputeFirst
	}
	r := k.results[k.given]
	k.given++
	return r.value, r.err
}

// forget drops the newest result that was given, so that it is computed anew.
func (k *keyed) forget() {
	if k.given > 0 {
		k.given--
		k.results = k.results[:k.given]
	}
}

// compute computes what is wanted. A refusal that stands is a result, since it is what the request
// is answered with; an error that a repetition may not meet again is returned.
func (k *keyed) compute(ctx context.Context) error {
	v, err := k.wanted(ctx)
	if err != nil && !final(err) {
		return err
	}
	k.results = append(k.results, result{v, err})
	return nil
}

// final reports whether an error is a refusal that the same request meets each time.
func final(err error) bool {
	var f *domain.Fault
	return errors.As(err, &f) && !f.Kind.Passing()
}

// requestID tells requests of one user under one key.
type requestID struct {
	workshop, user uuid.UUID
	route, key     string
}

// ongoing are the requests whose computations are running, so that a repetition waits for the first
// one instead of computing the same.
type ongoing struct {
	mu   sync.Mutex
	ends map[requestID]*turnstile
}

// turnstile is where requests with one id wait for each other.
type turnstile struct {
	end     chan struct{} // closed when the one that went on has ended
	waiting int
}

// enter waits until no other request with the id is ongoing and returns what ends this one. It
// returns a TooMany Fault if as many as may wait are waiting already.
func (o *ongoing) enter(
	ctx context.Context, id requestID, mayWait int,
) (leave func(), err error) {
	for {
		o.mu.Lock()
		first, busy := o.ends[id]
		switch {
		case !busy:
			if o.ends == nil {
				o.ends = map[requestID]*turnstile{}
			}
			o.ends[id] = &turnstile{end: make(chan struct{})}
			o.mu.Unlock()
			return func() { o.leave(id) }, nil
		case first.waiting >= mayWait:
			o.mu.Unlock()
			return nil, &domain.Fault{
				Kind: domain.TooMany, RetryAfter: time.Second,
				Detail: "as many requests as may wait for each other are waiting; send the request again later",
			}
		}
		first.waiting++
		o.mu.Unlock()
		select {
		case <-ctx.Done():
			o.mu.Lock()
			first.waiting--
			o.mu.Unlock()
			return nil, ctx.Err()
		case <-first.end:
		}
	}
}

func (o *ongoing) leave(id requestID) {
	o.mu.Lock()
	defer o.mu.Unlock()
	close(o.ends[id].end)
	delete(o.ends, id)
}
