package app_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"testing"
)

// A string literal would compile as a kind of event, misspelt or not.
func TestUseCasesNoteOnlyKindsOfEventThatDomainNames(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("*.go")
	if err != nil {
		t.Fatal(err)
	}
	noted := 0
	for _, name := range files {
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			call, ok := n.(*ast.CallExpr)
			if !ok || len(call.Args) != 3 {
				return true
			}
			if method, ok := call.Fun.(*ast.SelectorExpr); !ok || method.Sel.Name != "Note" {
				return true
			}
			noted++
			if !fromDomain(call.Args[0]) {
				t.Errorf("%s: the kind of event must be one of package domain", fset.Position(call.Pos()))
			}
			return true
		})
	}
	if noted == 0 {
		t.Error("no use case notes an event: the test looks for the wrong calls")
	}
}

// fromDomain reports whether an expression is a name of package domain or a call of one of its
// functions.
func fromDomain(kind ast.Expr) bool {
	if call, ok := kind.(*ast.CallExpr); ok {
		kind = call.Fun
	}
	name, ok := kind.(*ast.SelectorExpr)
	if !ok {
		return false
	}
	pkg, ok := name.X.(*ast.Ident)
	return ok && pkg.Name == "domain"
}
