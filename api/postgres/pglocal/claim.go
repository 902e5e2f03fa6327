package pglocal

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
)

// claim is this process's hold on the two locks of a site. Every change to use.lock is made while holding start.lock,
// so that it is no harm that the kernel changes a lock's kind in two steps; only a process that dies lets go of
// use.lock without it.
type claim struct {
	site  *site
	begin *os.File // start.lock, nil when not held
	use   *os.File // use.lock
	alone bool     // when the claim was made nobody else was using the server
}

// claim waits for start.lock and then learns whether anybody is using the server.
func (st *site) claim(ctx context.Context) (*claim, error) {
	c := &claim{site: st}
	if err := c.startAgain(ctx); err != nil {
		return nil, err
	}
	use, err := st.open("use.lock", os.O_RDWR)
	if err != nil {
		c.release()
		return nil, err
	}
	c.use = use
	if c.alone, err = tryLock(use, syscall.LOCK_EX); err != nil {
		c.release()
		return nil, err
	}
	return c, nil
}

func (c *claim) startAgain(ctx context.Context) error {
	f, err := c.site.open("start.lock", os.O_RDWR)
	if err != nil {
		return err
	}
	if err := poll(ctx, func() (bool, error) { return tryLock(f, syscall.LOCK_EX) }); err != nil {
		f.Close()
		return fmt.Errorf("wait for another process that starts or stops the server: %w", err)
	}
	c.begin = f
	return nil
}

// share enters this process among the users of the server.
func (c *claim) share() error {
	ok, err := tryLock(c.use, syscall.LOCK_SH)
	if err == nil && !ok {
		err = errors.New("use.lock is held without start.lock: another program is at work in this folder")
	}
	return err
}

// last waits for start.lock and reports whether no other process uses the server. The claim has no share afterwards.
func (c *claim) last(ctx context.Context) (bool, error) {
	if err := c.startAgain(ctx); err != nil {
		return false, err
	}
	return tryLock(c.use, syscall.LOCK_EX)
}

func (c *claim) endStart() {
	if c.begin != nil {
		c.begin.Close()
		c.begin = nil
	}
}

func (c *claim) release() {
	if c.use != nil {
		c.use.Close()
		c.use = nil
	}
	c.endStart()
}

// tryLock takes or changes a lock without waiting and reports whether it got it.
func tryLock(f *os.File, how int) (bool, error) {
	for {
		err := syscall.Flock(int(f.Fd()), how|syscall.LOCK_NB) //nolint:gosec // a descriptor fits an int
		switch {
		case err == nil:
			return true, nil
		case errors.Is(err, syscall.EWOULDBLOCK):
			return false, nil
		case !errors.Is(err, syscall.EINTR):
			return false, fmt.Errorf("lock %s: %w", f.Name(), err)
		}
	}
}
