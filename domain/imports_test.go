package domain_test

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// The dependency law: who may import whom. It holds for the files of a package, its tests excepted,
// and is read from the sources by this test itself: a command run from a test is invisible to the
// test cache.
//
//	cmd → api doors → api/app → api/postgres → {sheet → {caution, bid}, contract → sale, opening → {supply → stock, sale → cost → {hours, stock}} → {job → form, valuation, books}} → plan → {schedule, clearance} → scope → instrument → {survey, stringing}
//	api → {page → middleware → etag → problem, convert → app, media}
//	survey → domain → {catalogue, pricing → odds} → money
//
// Nobody relaxes a line to make a build pass.
var law = map[string]article{
	// Pure: values in, values out.
	"pricing/money": {pure: true, noFloat: true},
	// probabilities are statistics: floats
	"pricing/odds": {pure: true, may: []string{"pricing/money"}},
	"pricing":      {pure: true, noFloat: true, may: []string{"pricing/money", "pricing/odds"}},
	// what stock costs: amounts and quantities
	"pricing/valuation": {pure: true, noFloat: true, may: []string{"pricing/money"}},
	"schedule":          {pure: true, may: []string{"schedule/internal/crew"}},
	"schedule/...":      {pure: true, may: []string{"schedule", "schedule/..."}},
	// Keeps the stack of a worker's panic, and so knows the running program.
	"schedule/internal/crew": {},
	// A verifier knows the plan and nothing of how it was made.
	"schedule/verify":       {pure: true, may: []string{"schedule"}},
	"schedule/rcpsp/verify": {pure: true, may: []string{"schedule/rcpsp"}},
	// For tests only: it carries published instances and looks for more beside the module.
	"schedule/internal/published": {may: []string{"schedule/netfile", "schedule/rcpsp"}},

	// The rooms of domain, each allowed what stands above it.
	"domain/stringing": {pure: true},
	"domain/catalogue": {pure: true, embeds: true, may: []string{"pricing/money"}},
	"domain": {
		pure: true, may: []string{"domain/catalogue", "pricing", "pricing/money", "pricing/odds"},
	},
	"domain/form":   {pure: true, noFloat: true, may: []string{"domain"}},
	"domain/survey": {pure: true, may: []string{"domain", "domain/catalogue"}},
	"domain/instrument": {
		pure: true,
		may:  []string{"domain", "domain/catalogue", "domain/stringing", "domain/survey"},
	},
	"domain/scope": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/survey", "domain/instrument", "pricing", "pricing/money",
		"pricing/odds",
	}},
	"domain/clearance": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/survey", "domain/instrument", "domain/scope",
	}},
	"domain/caution": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/survey", "domain/instrument", "domain/scope",
		"domain/clearance",
	}},
	"domain/plan": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/scope", "domain/clearance", "pricing", "pricing/money",
		"schedule",
		"schedule/verify",
	}},
	"domain/job": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/survey", "domain/instrument", "domain/scope",
		"domain/clearance", "domain/plan", "domain/form", "pricing", "pricing/money", "pricing/odds",
	}},
	"domain/hours": {pure: true, may: []string{"domain", "domain/catalogue"}},
	"domain/books": {pure: true, noFloat: true, may: []string{"domain"}},
	"domain/stock": {pure: true, may: []string{
		"domain", "domain/books", "domain/catalogue", "domain/job", "pricing/money", "pricing/valuation",
	}},
	"domain/cost": {pure: true, noFloat: true, may: []string{
		"domain", "domain/catalogue", "domain/instrument", "domain/scope", "domain/job", "domain/hours",
		"domain/stock", "domain/books", "pricing", "pricing/money",
	}},
	"domain/sale": {pure: true, noFloat: true, may: []string{
		"domain", "domain/catalogue", "domain/instrument", "domain/clearance", "domain/job",
		"domain/cost", "domain/books", "pricing", "pricing/money",
	}},
	"domain/contract": {pure: true, noFloat: true, may: []string{
		"domain", "domain/books", "domain/job", "domain/sale", "pricing/money",
	}},
	"domain/supply": {pure: true, noFloat: true, may: []string{
		"domain", "domain/catalogue", "domain/plan", "domain/stock", "pricing/money",
	}},
	"domain/opening": {pure: true, noFloat: true, may: []string{
		"domain", "domain/catalogue", "domain/form", "domain/instrument", "domain/job", "domain/stock",
		"domain/cost", "domain/sale", "domain/supply", "pricing/money", "pricing/valuation",
	}},
	"domain/bid": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/survey", "domain/instrument", "domain/scope",
		"domain/clearance", "domain/plan", "pricing", "pricing/money", "pricing/odds",
	}},
	"domain/sheet": {pure: true, may: []string{
		"domain", "domain/catalogue", "domain/instrument", "domain/scope", "domain/clearance",
		"domain/caution", "domain/bid", "pricing", "pricing/money",
	}},
	// For tests only: what tests of several rooms share.
	"domain/domaintest": {may: []string{
		"domain", "domain/...", "pricing", "pricing/money", "schedule",
	}},

	// Text: contracts that ship inside the binary.
	"migrations":  {leaf: true},
	"openapi":     {leaf: true},
	"openapi/...": {leaf: true, may: []string{"openapi"}},

	// The service, from the store outwards.
	"api/postgres": {may: thinking("migrations", "api/postgres/pglocal")},
	// A private server is started from the machine's own programs, so these two look at the search
	// path, and a test at the URL that it was given.
	"api/postgres/pglocal": {environment: true},
	"api/postgres/pgtest": {
		environment: true, may: thinking("migrations", "api/postgres", "api/postgres/pglocal"),
	},
	"api/auth": {may: thinking("api/postgres")},
	// it makes and hashes tokens
	"api/app":       {may: thinking("api/postgres", "api/auth", "api/app/turns")},
	"api/app/turns": {may: []string{"domain"}},
	"api/problem":   {echo: true, may: thinking("openapi")},
	"api/etag":      {may: thinking("api/problem")},
	"api/middleware": {
		echo: true, may: thinking(
			"openapi", "api/app", "api/app/turns", "api/auth", "api/problem", "api/etag",
		),
	},
	"api/page": {
		may: thinking("openapi", "api/app", "api/postgres", "api/problem", "api/middleware"),
	},
	"api/convert": {may: thinking("openapi", "api/app", "api/postgres", "api/problem")},
	"api/media":   {may: thinking("openapi", "api/problem")},
	"api": {
		echo: true, may: door(
			"openapi", "api/problem", "api/etag", "api/middleware", "api/page", "api/convert", "api/media",
		),
	},
	"api/demo": {may: door()},

	// The binaries.
	"cmd/...": {environment: true, may: []string{
		"domain", "domain/...", "pricing", "schedule", "schedule/...", "migrations", "openapi",
		"openapi/...", "api", "api/...", "cmd/...",
	}},
}

// article is one line of the law.
type article struct {
	may []string // our packages that it may import; "x/..." stands for all below x
	// standard packages from the allow-list only, no clock, no chance, no printing
	pure        bool
	embeds      bool // may ship files inside itself
	noFloat     bool // no float32 or float64
	leaf        bool // imports nothing of ours but what may lists
	echo        bool // may speak echo
	environment bool // may read the environment
}

// thinking returns what everything that has effects may import: the pure shelf.
func thinking(more ...string) []string {
	return append([]string{
		"domain", "domain/...", "pricing", "pricing/money", "pricing/valuation", "schedule",
	}, more...)
}

// door returns what a door of the service may import. Doors never import one another.
func door(more ...string) []string {
	return thinking(append([]string{"api/app", "api/auth", "api/postgres"}, more...)...)
}

// pureImports are the packages that pure code may import directly.
var pureImports = []string{
	"archive/tar", "bytes", "cmp", "compress/gzip", "container/heap", "context", "crypto/sha256",
	"encoding", "encoding/csv", "encoding/hex", "encoding/json",
	"errors", "fmt", "hash/fnv", "io", "io/fs", "iter", "maps", "math", "math/big", "math/bits",
	"math/rand/v2",
	"path", "slices", "sort", "strconv", "strings", "sync", "time", "unicode", "unicode/utf8",
	"github.com/shopspring/decimal", "github.com/google/uuid",
}

// bannedCalls are what pure code may not call of packages that it may import.
var bannedCalls = map[string]func(name string) bool{
	"time": func(name string) bool {
		return slices.Contains([]string{
			"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer",
			"LoadLocation", "Local",
		}, name)
	},
	"math/rand/v2": func(name string) bool {
		return !slices.Contains(
			[]string{
				"New", "NewPCG", "NewChaCha8", "NewZipf", "Rand", "Source", "PCG", "ChaCha8",
				"Zipf",
			},
			name,
		)
	},
	"fmt": func(name string) bool {
		return strings.HasPrefix(name, "Print") || strings.HasPrefix(name, "Scan")
	},
	"github.com/google/uuid": func(name string) bool { return strings.HasPrefix(name, "New") },
	// a panic in a goroutine of one's own ends the program: schedule/internal/crew
	"sync": func(name string) bool { return name == "WaitGroup" },
}

const module = "bentside"

func TestEveryPackageKeepsTheDependencyLaw(t *testing.T) {
	t.Parallel()
	files := sources(t, "..")
	if len(files) == 0 {
		t.Fatal("no Go file found from the module root down")
	}
	for _, f := range files {
		for _, broken := range judgeFile(f) {
			t.Error(broken)
		}
	}
}

// A law that cannot be broken says nothing: each kind of breach is tried.
func TestTheLawSeesEachKindOfBreach(t *testing.T) {
	t.Parallel()
	cases := []struct{ pkg, source, want string }{
		{"schedule", `import _ "bentside/domain"`, "may not import bentside/domain"},
		{"domain/survey", `import _ "bentside/domain/scope"`, "may not import bentside/domain/scope"},
		{"domain/job", `import _ "bentside/domain/bid"`, "may not import bentside/domain/bid"},
		{"api/demo", `import _ "bentside/api"`, "may not import bentside/api"},
		{"domain/catalogue", `import _ "bentside/domain"`, "may not import bentside/domain"},
		{"api/middleware", `import _ "bentside/api/page"`, "may not import bentside/api/page"},
		{"api/postgres", `import _ "bentside/api/app"`, "may not import bentside/api/app"},
		{"migrations", `import _ "bentside/domain"`, "may not import bentside/domain"},
		{"pricing", `import _ "os"`, "pure package may not import os"},
		{"pricing", `import _ "embed"`, "pure package may not import embed"},
		{"domain", `import "time"; var _ = time.Now`, "time.Now"},
		{"domain", `import clock "time"; var _ = clock.Sleep`, "time.Sleep"},
		{"domain", `import . "time"`, "dot import"},
		{"domain", `import "time"; var _ = time.Local`, "time.Local"},
		{"schedule", `import "math/rand/v2"; var _ = rand.IntN(3)`, "math/rand/v2.IntN"},
		{"schedule", `import _ "math/rand"`, "pure package may not import math/rand"},
		{"domain", `import "fmt"; func f() { fmt.Println() }`, "fmt.Println"},
		{"domain", `import "github.com/google/uuid"; var _ = uuid.NewString()`, "uuid.NewString"},
		{"schedule", `func f() { go f() }`, "starts a goroutine"},
		{"schedule/rcpsp", `import "sync"; var _ sync.WaitGroup`, "sync.WaitGroup"},
		{"pricing/money", `var x float64`, "float64"},
		{"pricing", `type t struct { x []float32 }`, "float32"},
		{"api/app", `import _ "github.com/labstack/echo/v4"`, "echo"},
		{"api/app", `import "os"; var _ = os.Getenv("X")`, "reads the environment"},
		{"api/app", `import "syscall"; var _, _ = syscall.Getenv("X")`, "reads the environment"},
		{"api/newcomer", ``, "has no line"},
	}
	for _, c := range cases {
		t.Run(c.pkg+" "+c.want, func(t *testing.T) {
			t.Parallel()
			file, err := parser.ParseFile(token.NewFileSet(), "x.go", "package p\n"+c.source, 0)
			if err != nil {
				t.Fatal(err)
			}
			got := judgeFile(source{pkg: c.pkg, name: "x.go", file: file})
			if !slices.ContainsFunc(got, func(s string) bool { return strings.Contains(s, c.want) }) {
				t.Errorf("got %q, want a breach that says %q", got, c.want)
			}
		})
	}
}

// source is one file of one of our packages, its path from the module root.
type source struct {
	pkg, name string
	file      *ast.File
}

// sources parses every Go file below root that isn't a test.
func sources(t *testing.T, root string) []source {
	t.Helper()
	var list []source
	err := filepath.WalkDir(root, func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() {
			if p != root &&
				(strings.HasPrefix(name, ".") || name == "testdata" || name == "node_modules") {
				return filepath.SkipDir
			}
			return nil
		}
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			return nil
		}
		file, err := parser.ParseFile(token.NewFileSet(), p, nil, parser.SkipObjectResolution)
		if err != nil {
			return fmt.Errorf("parse %s: %w", p, err)
		}
		dir, err := filepath.Rel(root, filepath.Dir(p))
		if err != nil {
			return err
		}
		list = append(list, source{pkg: filepath.ToSlash(dir), name: name, file: file})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return list
}

// judgeFile returns every breach of the law in one file.
func judgeFile(s source) []string {
	where := s.pkg + "/" + s.name + ": "
	r, ok := ruleOf(s.pkg)
	if !ok {
		return []string{where + "package " + s.pkg + " has no line in the dependency law"}
	}
	var broken []string
	names := map[string]string{} // name in the file → import path
	for _, spec := range s.file.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return []string{where + err.Error()}
		}
		local := nameOf(imported)
		if spec.Name != nil {
			local = spec.Name.Name
		}
		if local == "." && !strings.HasPrefix(imported, module+"/") {
			broken = append(broken, where+"dot import of "+imported)
		}
		names[local] = imported
		if b := judgeImport(s.pkg, r, imported); b != "" {
			broken = append(broken, where+b)
		}
	}
	for _, b := range judgeUses(r, s.file, names) {
		broken = append(broken, where+b)
	}
	return broken
}

// judgeImport says what is wrong with one import, "" where nothing is.
func judgeImport(pkg string, r article, imported string) string {
	ours, isOurs := strings.CutPrefix(imported, module+"/")
	switch {
	case isOurs && !matches(r.may, ours):
		return fmt.Sprintf("%s may not import %s", pkg, imported)
	case isOurs:
		return ""
	case r.pure && !slices.Contains(pureImports, imported) && (imported != "embed" || !r.embeds):
		return fmt.Sprintf("pure package may not import %s", imported)
	case strings.HasPrefix(imported, "github.com/labstack/echo") && !r.echo:
		return "echo stays in the doors that speak HTTP"
	default:
		return ""
	}
}

// judgeUses says what is wrong with the uses of names in a file.
func judgeUses(r article, file *ast.File, names map[string]string) []string {
	var broken []string
	ast.Inspect(file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.SelectorExpr:
			id, ok := n.X.(*ast.Ident)
			if !ok {
				return true
			}
			from := names[id.Name]
			if banned := bannedCalls[from]; r.pure && banned != nil && banned(n.Sel.Name) {
				broken = append(broken, fmt.Sprintf("pure package uses %s.%s", from, n.Sel.Name))
			}
			if !r.environment && readsEnvironment(from, n.Sel.Name) {
				broken = append(broken, fmt.Sprintf("reads the environment: %s.%s", from, n.Sel.Name))
			}
		case *ast.GoStmt:
			if r.pure {
				broken = append(broken, "pure package starts a goroutine: use schedule/internal/crew")
			}
		case *ast.Ident:
			if r.noFloat && (n.Name == "float32" || n.Name == "float64") {
				broken = append(broken, n.Name+" on a path of money")
			}
		}
		return true
	})
	return broken
}

func readsEnvironment(from, name string) bool {
	return (from == "os" || from == "syscall") &&
		slices.Contains(
			[]string{
				"Getenv", "LookupEnv", "Environ", "ExpandEnv", "Setenv", "Unsetenv", "Clearenv",
			},
			name,
		)
}

// ruleOf finds the line of a package: its own, or that of the nearest "x/...".
func ruleOf(pkg string) (article, bool) {
	if r, ok := law[pkg]; ok {
		return r, true
	}
	for dir := path.Dir(pkg); dir != "."; dir = path.Dir(dir) {
		if r, ok := law[dir+"/..."]; ok {
			return r, true
		}
	}
	return article{}, false
}

// matches reports whether a package is in a list of patterns.
func matches(patterns []string, pkg string) bool {
	return slices.ContainsFunc(patterns, func(p string) bool {
		if above, ok := strings.CutSuffix(p, "/..."); ok {
			return strings.HasPrefix(pkg, above+"/")
		}
		return p == pkg
	})
}

// nameOf returns the name that an import goes by unless the file renames it.
func nameOf(imported string) string {
	base := path.Base(imported)
	if len(base) > 1 && base[0] == 'v' && strings.Trim(base[1:], "0123456789") == "" {
		base = path.Base(path.Dir(imported))
	}
	return base
}
