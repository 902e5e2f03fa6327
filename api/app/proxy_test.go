package app_test

import (
	"bytes"
	"net"
	"net/url"
	"sync"
	"sync/atomic"
	"testing"

	"github.com/jackc/pgx/v5"
	"github.com/jackc/pgx/v5/pgconn"
)

// proxy stands between the service and its database.
type proxy struct {
	network, server string
	mute            atomic.Bool // nothing passes any more, and nothing is closed
	cutCommit       atomic.Bool // the next commit arrives, its answer doesn't

	mu    sync.Mutex
	conns []net.Conn
}

// behindProxy returns a proxy to the database of a URL, and the URL that leads through it.
func behindProxy(t *testing.T, databaseURL string) (*proxy, string) {
	t.Helper()
	cfg, err := pgx.ParseConfig(databaseURL)
	if err != nil {
		t.Fatal(err)
	}
	p := &proxy{}
	p.network, p.server = pgconn.NetworkAddress(cfg.Host, cfg.Port)
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = l.Close(); p.hangUp() })
	go p.serve(l)
	u, err := url.Parse(databaseURL)
	if err != nil {
		t.Fatal(err)
	}
	u.Host = l.Addr().String()
	q := u.Query()
	q.Del("host")
	q.Del("port")
	q.Set("sslmode", "disable") // so that the proxy can tell a commit
	u.RawQuery = q.Encode()
	return p, u.String()
}

func (p *proxy) serve(l net.Listener) {
	for {
		client, err := l.Accept()
		if err != nil {
			return // the test has ended
		}
		p.keep(client)
		if p.mute.Load() {
			continue // the client waits
		}
		server, err := net.Dial(p.network, p.server)
		if err != nil {
			_ = client.Close()
			continue
		}
		p.keep(server)
		committing := &atomic.Bool{}
		go p.pass(server, client, func(b []byte) {
			if bytes.Contains(b, []byte("commit\x00")) && p.cutCommit.CompareAndSwap(true, false) {
				committing.Store(true)
			}
		}, nil)
		go p.pass(client, server, nil, committing)
	}
}

func (p *proxy) keep(c net.Conn) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.conns = append(p.conns, c)
}

// hangUp closes all connections.
func (p *proxy) hangUp() {
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, c := range p.conns {
		_ = c.Close()
	}
	p.conns = nil
}

// pass copies what one side says to the other, until either closes or the answer to a commit that
// is to be cut off arrives.
func (p *proxy) pass(to, from net.Conn, look func([]byte), cut *atomic.Bool) {
	defer to.Close()   //nolint:errcheck // the test looks at what arrives
	defer from.Close() //nolint:errcheck // the same
	buffer := make([]byte, 64<<10)
	for {
		n, err := from.Read(buffer)
		if err != nil || cut != nil && cut.Load() {
			return
		}
		if p.mute.Load() {
			continue
		}
		if look != nil {
			look(buffer[:n])
		}
		if _, err := to.Write(buffer[:n]); err != nil {
			return
		}
	}
}
