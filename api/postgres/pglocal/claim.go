package pglocal

import (
	"context"
	"errors"
	"fmt"
	"os"
	"syscall"
)

// claim is this process's hold on the two locks of a site. Every change to use.lock is made while
// holding start.lock, because the kernel doesn't convert a lock atomically; only a dying process
// lets go of use.lock without it.
type claim struct {
	site  *site
	begin *os.File // start.lock; nil if not held
	use   *os.File // use.lock
	alone bool     // nobody else was using the server when the claim was made
}

// claim waits for start.lock and then finds out whether anybody is using the server.
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
		return fmt.Errorf("wait for another process to finish starting or stopping the server: %w", err)
	}
	c.begin = f
	return nil
}

// share registers this process as a user of the server.
func (c *claim) share() error {
	ok, err := tryLock(c.use, syscall.LOCK_SH)
	if err == nil && !ok {
		err = errors.New("use.lock is held without start.lock: some other program is using this folder")
	}
	return err
}

// last waits for start.lock and reports whether no other process uses the server. Afterwards this
// process no longer counts as a user.
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

// tryLock acquires or converts a lock without waiting and reports whether it succeeded.
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
