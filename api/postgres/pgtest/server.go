package pgtest

import (
	"context"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"net"
	"net/url"
	"os"
	"sync"
	"testing"

	"github.com/jackc/pgx/v5/pgxpool"
)

// offer is a server that tests may use.
type offer struct {
	Admin   string // URL of an administrator who may create databases and roles
	What    string // which server it is, for the log
	Scratch bool   // thrown away as a whole
	Trusted bool   // roles log in without a password
}

// server is an offer that this test program uses.
type server struct {
	offer
	admin     *url.URL
	pool      *pgxpool.Pool // as the administrator; open until the program ends
	keeper    net.Conn      // kept open until the program ends; nil without a keeper
	secret    []byte
	templates sync.Map // template name → func() error
}

// variable names the server to test on.
const variable = "TEST_DATABASE_URL"

// connected returns this program's server.
var connected = sync.OnceValues(func() (*server, error) {
	ctx, cancel := context.WithTimeout(context.Background(), stepTimeout)
	defer cancel()
	if given := os.Getenv(variable); given != "" {
		return take(ctx, offer{Admin: given, What: "the server of " + variable})
	}
	o, conn, err := askKeeper(ctx)
	if err != nil {
		return nil, err
	}
	srv, err := take(ctx, o)
	if err != nil {
		return nil, errors.Join(err, conn.Close())
	}
	srv.keeper = conn
	return srv, nil
})

var announced sync.Once

// open returns this program's server, or fails the test with the reason why there is none.
func open(tb testing.TB) *server {
	tb.Helper()
	srv, err := connected()
	if err != nil {
		tb.Fatalf("pgtest: no PostgreSQL to test on: %v", err)
	}
	announced.Do(func() { tb.Logf("pgtest: tests run on %s", srv.What) })
	return srv
}

// maxCopies is how many databases one test program creates at a time. More gain nothing on a few
// cores.
const maxCopies = 2

// take connects to an offered server as its administrator.
func take(ctx context.Context, o offer) (*server, error) {
	admin, err := url.Parse(o.Admin)
	if err != nil || admin.Scheme != "postgres" && admin.Scheme != "postgresql" {
		// the text may hold a password
		return nil, fmt.Errorf("%s must be a URL that begins with postgres://", variable)
	}
	cfg, err := pgxpool.ParseConfig(o.Admin)
	if err != nil {
		return nil, err
	}
	cfg.MaxConns = maxCopies
	pool, err := pgxpool.NewWithConfig(ctx, cfg)
	if err != nil {
		return nil, err
	}
	var version string
	var number, system int64
	err = pool.QueryRow(ctx, `SELECT current_setting('server_version'), current_setting('server_version_num')::int,
		system_identifier FROM pg_control_system()`).Scan(&version, &number, &system)
	if err != nil {
		pool.Close()
		return nil, fmt.Errorf("connect to %s: %w", o.What, err)
	}
	if number < 150000 {
		pool.Close()
		return nil, fmt.Errorf("%s is PostgreSQL %s; it must be 15 or later", o.What, version)
	}
	o.What = "PostgreSQL " + version + ", " + o.What
	password, _ := admin.User.Password()
	return &server{
		offer: o, admin: admin, pool: pool, secret: fmt.Appendf(nil, "%s %d", password, system),
	}, nil
}

// url returns the URL of a database, as the administrator or as one of the login roles.
func (s *server) url(database, role string) string {
	u := *s.admin
	u.Path = "/" + database
	switch {
	case role == "":
	case s.Trusted:
		u.User = url.User(role)
	default:
		u.User = url.UserPassword(role, s.password(role))
	}
	return u.String()
}

// password returns the password of a login role. It is derived from the administrator's password,
// so that all programs testing on one server use the same one and nobody else can find it.
func (s *server) password(role string) string {
	mac := hmac.New(sha256.New, s.secret)
	mac.Write([]byte(role))
	return hex.EncodeToString(mac.Sum(nil))
}
