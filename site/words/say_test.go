package words

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"text/template/parse"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// TestEachSentenceIsSaidWithItsValues: each call of Say in the program, and of say in a sentence, names a key that is there and gives as
// many values as it names, and each key is said somewhere.
func TestEachSentenceIsSaidWithItsValues(t *testing.T) {
	said := map[string]int{}
	check := func(where, key string, values int) {
		s, isThere := sentences[key]
		if assert.True(t, isThere, "%s: no sentence %q", where, key) {
			assert.Len(t, s.names, values, "%s: values of %q", where, key)
		}
		said[key]++
	}
	walked := 0
	require.NoError(t, fs.WalkDir(os.DirFS(".."), ".", func(path string, entry fs.DirEntry, err error) error {
		if err != nil || path == "node_modules" {
			return fs.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		walked++
		positions := token.NewFileSet()
		file, err := parser.ParseFile(positions, "../"+path, nil, 0)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			call, isCall := n.(*ast.CallExpr)
			if !isCall || nameOf(call.Fun) != "Say" {
				return true
			}
			if key, isLiteral := call.Args[1].(*ast.BasicLit); isLiteral {
				text, err := strconv.Unquote(key.Value)
				require.NoError(t, err)
				check(positions.Position(call.Pos()).String(), text, len(call.Args)-2)
			} else {
				assert.True(t, call.Ellipsis.IsValid(), "%s: the key is no literal", positions.Position(call.Pos()))
			}
			return true
		})
		return nil
	}))
	require.Greater(t, walked, 50)
	for key, parsed := range parseSentences(us) {
		eachCall(parsed.Root, func(call *parse.CommandNode) {
			if name, isName := call.Args[0].(*parse.IdentifierNode); isName && name.Ident == "say" {
				if text, isLiteral := call.Args[1].(*parse.StringNode); assert.True(t, isLiteral, "%s: the key is no literal", key) {
					check(key, text.Text, len(call.Args)-2)
				}
			}
		})
	}
	for key := range sentences {
		assert.Positive(t, said[key], "nothing says %q", key)
	}
}

// TestValuesAreUsed: a sentence uses each value that it names.
func TestValuesAreUsed(t *testing.T) {
	require.Greater(t, len(sentences), 100)
	for key, s := range sentences {
		for _, name := range s.names {
			assert.True(t, strings.Contains(s.text, "."+name) || strings.Contains(s.text, "$."+name), "%q names %q", key, name)
		}
	}
	assert.Panics(t, func() { Say(us, "reach") })
	assert.Panics(t, func() { Say(us, "no such sentence", 1) })
}

// TestNoSentenceIsSaidFromItsOwnText: a value that looks like a template or a unit stays as it is.
func TestNoSentenceIsSaidFromItsOwnText(t *testing.T) {
	assert.Equal(t, `In the files beside these pages this crew is {{.}} lb {acetate}; no other page says so.`,
		Say(metric, "file label", "{{.}} lb {acetate}", false))
}

func nameOf(e ast.Expr) string {
	switch f := e.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	}
	return ""
}

// eachCall visits the calls of a template, those in arguments too.
func eachCall(node parse.Node, visit func(*parse.CommandNode)) {
	pipe := func(p *parse.PipeNode) {
		for _, call := range p.Cmds {
			visit(call)
			for _, arg := range call.Args {
				eachCall(arg, visit)
			}
		}
	}
	branch := func(b parse.BranchNode) {
		pipe(b.Pipe)
		for _, list := range slices.DeleteFunc([]*parse.ListNode{b.List, b.ElseList}, func(l *parse.ListNode) bool { return l == nil }) {
			eachCall(list, visit)
		}
	}
	switch n := node.(type) {
	case *parse.ListNode:
		for _, part := range n.Nodes {
			eachCall(part, visit)
		}
	case *parse.ActionNode:
		pipe(n.Pipe)
	case *parse.PipeNode:
		pipe(n)
	case *parse.IfNode:
		branch(n.BranchNode)
	case *parse.RangeNode:
		branch(n.BranchNode)
	case *parse.WithNode:
		branch(n.BranchNode)
	}
}
