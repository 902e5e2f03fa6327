package pglocal_test

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"bentside/api/postgres/pglocal"
)

func TestMachineWithoutBinariesFetchesThemOnceAndSaysSoFirst(t *testing.T) {
	t.Parallel()
	repository := newRepository(t, nil)
	fetched := filepath.Join(dataDir(t), "fetched")
	var said []string
	cfg := pglocal.Config{Scratch: true, Announce: func(what string) {
		if repository.requests() != 0 {
			t.Error("announced only after the download had begun")
		}
		said = append(said, what)
	}}.WithoutBinaries(fetched, repository.URL)

	cfg.DataDir = folder(t)
	for range 2 {
		server, err := pglocal.Start(t.Context(), cfg)
		if err != nil {
			t.Fatal(err)
		}
		if got := query(t, server.URL("postgres", "postgres"), "SELECT 'served'"); got != "served" {
			t.Errorf("fetched server answers %q", got)
		}
		stop(t, server)
	}
	if len(said) != 1 || !strings.Contains(said[0], repository.URL) ||
		!strings.Contains(said[0], "MB") {
		t.Errorf("announced %q, want one sentence with source and size", said)
	}
	if got := repository.requests(); got != 2 {
		t.Errorf("%d requests for two starts, want the archive and its checksum once", got)
	}
	names, err := filepath.Glob(filepath.Join(fetched, "*"))
	if want := filepath.Join(fetched, "postgresql-"+pglocal.FetchedVersion); err != nil ||
		len(names) != 1 || names[0] != want {
		t.Errorf("the folder of fetched binaries holds %v (%v), want only %s", names, err, want)
	}
}

func TestOrdinaryUserFetchesToo(t *testing.T) {
	t.Parallel()
	needRoot(t) // the test above covers ordinary users
	dir := folder(t)
	if err := errors.Join(os.Mkdir(dir, 0o700), os.Chown(dir, nobody, nobody)); err != nil {
		t.Fatal(err)
	}
	self := openCopy(t)
	fetched := filepath.Join(dir, "fetched")
	h := spawn(t, order{
		DataDir: dir, Scratch: true, WithoutBinaries: true, Fetched: fetched,
		Repository: newRepository(t, nil).URL,
	}, func(cmd *exec.Cmd) { runAs(cmd, self, nobody) }).started(t)
	if got := processOwner(t, h.Pid); got != nobody {
		t.Errorf("the fetched server runs as uid %d, want the user's %d", got, nobody)
	}
	h.stop(t)
}

func TestUmaskDoesNotKeepTheServersAccountFromFetchedPrograms(t *testing.T) {
	t.Parallel()
	fetched := filepath.Join(dataDir(t), "fetched")
	h := spawn(t, order{
		DataDir: folder(t), Scratch: true, WithoutBinaries: true, Fetched: fetched,
		Repository: newRepository(t, nil).URL,
		Umask:      0o077,
	}, nil).started(t)
	if got := query(t, h.URL, "SELECT 'served'"); got != "served" {
		t.Errorf("the server fetched under umask 077 answers %q", got)
	}
	h.stop(t)
}

func TestArchiveThatWasTamperedWithIsRefused(t *testing.T) {
	t.Parallel()
	repository := newRepository(t, []byte(strings.Repeat("0", 64)))
	_, err := pglocal.Start(
		t.Context(),
		pglocal.Config{DataDir: folder(t)}.WithoutBinaries(
			filepath.Join(dataDir(t), "fetched"), repository.URL,
		),
	)
	var missing *pglocal.NotFoundError
	if !errors.As(err, &missing) || !strings.Contains(err.Error(), "checksums do not match") {
		t.Errorf("Start says %v, want a NotFoundError about the checksum", err)
	}
}

func TestMachineWithoutBinariesAndNetworkNamesThePackage(t *testing.T) {
	t.Parallel()
	dead := httptest.NewServer(http.NotFoundHandler())
	dead.Close()
	for name, c := range map[string]struct {
		cfg  pglocal.Config
		want string
	}{
		"download not allowed": {
			pglocal.Config{NoDownload: true}, "downloading is switched off",
		},
		"no network": {
			pglocal.Config{}, "the download failed: unable to connect",
		},
		"nowhere to keep them": {pglocal.Config{}, "no folder to download them to"},
		"setting names nothing": {
			pglocal.Config{BinDir: "/nowhere"},
			"the given folder of PostgreSQL programs: lstat /nowhere",
		},
	} {
		c.cfg.DataDir = folder(t)
		fetched := filepath.Join(dataDir(t), "fetched")
		if name == "nowhere to keep them" {
			fetched = ""
		}
		_, err := pglocal.Start(t.Context(), c.cfg.WithoutBinaries(fetched, dead.URL))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: Start says %v, want %q in it", name, err, c.want)
			continue
		}
		var missing *pglocal.NotFoundError
		if c.cfg.BinDir == "" &&
			(!errors.As(err, &missing) || !strings.Contains(err.Error(), "postgresql") ||
				!strings.Contains(err.Error(), "DATABASE_URL")) {
			t.Errorf(
				"%s: Start says %v, want a NotFoundError with the package and the way out", name,
				err,
			)
		}
	}
}

// repository stands in for the public one: under any name it serves this machine's own binaries, in
// the same format. The library that downloads them is the real one.
type repository struct {
	*httptest.Server
	mu    sync.Mutex
	count int
}

func (r *repository) requests() int {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.count
}

// newRepository serves the right checksum unless another is given.
func newRepository(t *testing.T, checksum []byte) *repository {
	t.Helper()
	jar := archive(t)
	if checksum == nil {
		sum := sha256.Sum256(jar)
		checksum = []byte(hex.EncodeToString(sum[:]))
	}
	r := &repository{}
	r.Server = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, req *http.Request) {
		r.mu.Lock()
		r.count++
		r.mu.Unlock()
		body := jar
		if strings.HasSuffix(req.URL.Path, ".sha256") {
			body = checksum
		}
		if _, err := w.Write(body); err != nil {
			t.Logf("stand-in repository: %v", err)
		}
	}))
	t.Cleanup(r.Close)
	return r
}

// archive packs the machine's own server programs as the public repository does: a tar in xz in a
// zip.
func archive(t *testing.T) []byte {
	t.Helper()
	bin := programs(t)
	var tarred bytes.Buffer
	w := tar.NewWriter(&tarred)
	for _, name := range []string{"postgres", "initdb", "pg_ctl"} {
		program, err := os.ReadFile(filepath.Join(bin, name))
		if err != nil {
			t.Fatal(err)
		}
		h := &tar.Header{
			Typeflag: tar.TypeReg, Name: "bin/" + name, Mode: 0o755, Size: int64(len(program)),
		}
		if err := w.WriteHeader(h); err != nil {
			t.Fatal(err)
		}
		if _, err := w.Write(program); err != nil {
			t.Fatal(err)
		}
	}
	// Relocatable programs look for their files next to their folder.
	for _, name := range []string{"share", "lib", "lib64"} {
		target := filepath.Join(filepath.Dir(bin), name)
		if _, err := os.Stat(target); err != nil {
			continue
		}
		if err := w.WriteHeader(
			&tar.Header{Typeflag: tar.TypeSymlink, Name: name, Linkname: target, Mode: 0o777},
		); err != nil {
			t.Fatal(err)
		}
	}
	if err := w.Close(); err != nil {
		t.Fatal(err)
	}
	var zipped bytes.Buffer
	z := zip.NewWriter(&zipped)
	f, err := z.CreateHeader(&zip.FileHeader{Name: "postgres.txz", Method: zip.Store})
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(storedXZ(tarred.Bytes())); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return zipped.Bytes()
}
