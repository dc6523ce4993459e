// Command unused lists the exported names of the module that no product code uses:
// functions, types, constants, variables, methods and fields that are there for tests
// alone, or for nobody. In a package that the command does not link, one that only tests
// import, what the tests use counts, and so does everywhere what the tests of another
// package use, which no test file can give them. It fails when there is one.
//
//	go run .ci/unused/main.go
package main

import (
	"errors"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"go/types"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime/debug"
	"slices"
	"strings"

	"golang.org/x/tools/go/packages"
)

// builds are the platforms and tags whose code is product code.
var builds = []struct {
	env  []string
	tags string
}{
	{[]string{"GOOS=linux", "GOARCH=amd64"}, ""},
	{[]string{"GOOS=js", "GOARCH=wasm"}, ""},
}

// survey is what the builds together declare and use. A name is a string, so that one
// name of several builds is one.
type survey struct {
	module   string
	declared map[string]string // name → file:line
	used     map[string]bool
	tests    map[string][]string // name → packages whose tests use it
	linked   map[string]bool     // packages that the command links on some build
}

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "unused:", err)
		os.Exit(1)
	}
}

func run() error {
	s := survey{declared: map[string]string{}, used: map[string]bool{}, tests: map[string][]string{}, linked: map[string]bool{}}
	debug.SetGCPercent(400) // half of the time otherwise
	tested, err := parsed(builds[0].env, builds[0].tags, true)
	if err != nil {
		return fmt.Errorf("tests: %w", err)
	}
	s.add(slices.DeleteFunc(slices.Clone(tested), func(p *packages.Package) bool {
		return p.ForTest != "" || strings.HasSuffix(p.ID, ".test")
	}))
	for _, b := range builds[1:] {
		loaded, err := parsed(b.env, b.tags, false)
		if err != nil {
			return fmt.Errorf("%s %s: %w", strings.Join(b.env, " "), b.tags, err)
		}
		s.add(loaded)
	}
	s.addTests(tested)
	if err := s.templates(); err != nil {
		return err
	}
	var unused []string
	for name := range s.declared {
		if !s.used[name] {
			unused = append(unused, name)
		}
	}
	slices.Sort(unused)
	for _, name := range unused {
		fmt.Printf("%s: %s is exported and no product code uses it; tests that do: %q\n", s.declared[name], name, s.tests[name])
	}
	if len(unused) > 0 {
		return fmt.Errorf("%d names", len(unused))
	}
	fmt.Printf("%d exported names, each used\n", len(s.declared))
	return nil
}

// parsed loads the module's packages for one build, with their tests or without.
func parsed(env []string, tags string, tests bool) ([]*packages.Package, error) {
	loaded, err := packages.Load(&packages.Config{
		Mode: packages.NeedName | packages.NeedFiles | packages.NeedImports | packages.NeedDeps | packages.NeedModule |
			packages.NeedTypes | packages.NeedSyntax | packages.NeedTypesInfo | packages.NeedForTest,
		Env:        append(os.Environ(), append(env, "CGO_ENABLED=0", "GOPROXY=off")...),
		BuildFlags: []string{"-tags=" + tags},
		Tests:      tests,
		ParseFile:  outline,
	}, "./...")
	if err != nil {
		return nil, err
	}
	for _, p := range loaded {
		for _, e := range p.Errors {
			return nil, e
		}
	}
	if len(loaded) < 10 {
		return nil, fmt.Errorf("%d packages found", len(loaded))
	}
	return loaded, nil
}

// outline parses a file, one of another module without what its functions do: that is not
// looked at. The main of a test, which the go command writes, has another ending.
func outline(fset *token.FileSet, name string, src []byte) (*ast.File, error) {
	f, err := parser.ParseFile(fset, name, src, parser.SkipObjectResolution)
	if here, _ := os.Getwd(); f != nil && !strings.HasPrefix(name, here) && strings.HasSuffix(name, ".go") {
		for _, d := range f.Decls {
			if fd, ok := d.(*ast.FuncDecl); ok && fd.Body != nil {
				fd.Body.List = nil
			}
		}
	}
	return f, err
}

// add adds one build's names and uses.
func (s *survey) add(loaded []*packages.Package) {
	s.module = loaded[0].Module.Path
	wanted := interfaces(loaded)
	for _, p := range loaded {
		if p.Name == "main" {
			packages.Visit([]*packages.Package{p}, nil, func(d *packages.Package) { s.linked[d.PkgPath] = true })
		} else {
			s.declare(p, wanted)
		}
		s.use(p, func(name string) { s.used[name] = true })
	}
}

// addTests notes which tests use which names, and counts those uses in packages that
// the command does not link.
func (s *survey) addTests(loaded []*packages.Package) {
	for _, p := range loaded {
		if p.ForTest == "" {
			continue
		}
		syntax := p.Syntax
		p.Syntax = nil
		for _, f := range syntax {
			if strings.HasSuffix(p.Fset.Position(f.Pos()).Filename, "_test.go") {
				p.Syntax = append(p.Syntax, f)
			}
		}
		from := strings.TrimPrefix(p.ForTest, s.module+"/")
		s.use(p, func(name string) {
			if !slices.Contains(s.tests[name], from) {
				s.tests[name] = append(s.tests[name], from)
			}
			folder := name[:strings.LastIndexByte(name, '/')+1]
			if own := folder + strings.SplitN(name[len(folder):], ".", 2)[0]; own != from || !s.linked[s.module+"/"+own] {
				s.used[name] = true
			}
		})
	}
}

// interfaces are all that a method may be called through: those declared in a package
// that the module is made of or imports, those written out in its code, and error.
func interfaces(loaded []*packages.Package) []*types.Interface {
	list := []*types.Interface{types.Universe.Lookup("error").Type().Underlying().(*types.Interface)}
	seen := map[string]bool{}
	scope := func(p *types.Package) {
		if p == nil || seen[p.Path()] {
			return
		}
		seen[p.Path()] = true
		for _, n := range p.Scope().Names() {
			if t, ok := p.Scope().Lookup(n).(*types.TypeName); ok {
				if i, ok := t.Type().Underlying().(*types.Interface); ok && i.NumMethods() > 0 {
					list = append(list, i)
				}
			}
		}
	}
	for _, p := range loaded {
		scope(p.Types)
		for _, i := range p.Types.Imports() {
			scope(i)
		}
		for e, tv := range p.TypesInfo.Types {
			if _, ok := e.(*ast.InterfaceType); ok {
				if i, ok := tv.Type.(*types.Interface); ok && i.NumMethods() > 0 {
					list = append(list, i)
				}
			}
		}
	}
	return list
}

// declare lists a package's exported names. A method that an interface asks for, and a
// field with a tag, are reached by other ways than their name and count as used.
func (s *survey) declare(p *packages.Package, wanted []*types.Interface) {
	note := func(name string, o types.Object) {
		if _, ok := s.declared[name]; !ok {
			pos := p.Fset.Position(o.Pos())
			file := pos.Filename
			if wd, err := os.Getwd(); err == nil {
				if rel, err := filepath.Rel(wd, file); err == nil {
					file = rel
				}
			}
			s.declared[name] = fmt.Sprintf("%s:%d", file, pos.Line)
		}
	}
	scope := p.Types.Scope()
	for _, n := range scope.Names() {
		o := scope.Lookup(n)
		if o.Exported() {
			note(s.name(o), o)
		}
		t, ok := o.(*types.TypeName)
		if !ok || t.IsAlias() {
			continue
		}
		named := t.Type().(*types.Named)
		for m := range named.Methods() {
			if !m.Exported() {
				continue
			}
			name := s.name(o) + "." + m.Name()
			note(name, m)
			if byName[m.Name()] {
				s.used[name] = true
			}
			for _, i := range wanted {
				if asksFor(i, m.Name()) && (types.Implements(named, i) || types.Implements(types.NewPointer(named), i)) {
					s.used[name] = true
				}
			}
		}
		if u, ok := named.Underlying().(*types.Struct); ok {
			for i := range u.NumFields() {
				if f := u.Field(i); f.Exported() && !f.Embedded() {
					note(s.name(o)+"."+f.Name(), f)
					if u.Tag(i) != "" {
						s.used[s.name(o)+"."+f.Name()] = true
					}
				}
			}
		}
	}
}

// byName are methods that the standard library looks for without the package of their
// interface being imported.
var byName = map[string]bool{"Unwrap": true, "Is": true, "As": true, "String": true, "MarshalText": true, "UnmarshalText": true,
	"MarshalJSON": true, "UnmarshalJSON": true}

func asksFor(i *types.Interface, method string) bool {
	for m := range i.Methods() {
		if m.Name() == method {
			return true
		}
	}
	return false
}

// name is the name of a package-level object, from the module's root.
func (s *survey) name(o types.Object) string {
	return strings.TrimPrefix(o.Pkg().Path(), s.module+"/") + "." + o.Name()
}

// use tells every name that a package's code mentions outside the name's own
// declaration. A struct written without keys mentions all its fields.
func (s *survey) use(p *packages.Package, note func(name string)) {
	owner := fieldOwners(p)
	mention := func(o types.Object, within types.Object) {
		if o == nil || o.Pkg() == nil || !strings.HasPrefix(o.Pkg().Path()+"/", s.module+"/") || o == within {
			return
		}
		switch o := o.(type) {
		case *types.Func:
			o = o.Origin()
			if r := o.Signature().Recv(); r != nil {
				if n, ok := deref(r.Type()).(*types.Named); ok {
					note(s.name(n.Obj()) + "." + o.Name())
				}
				return
			}
			note(s.name(o))
		case *types.Var:
			if o = o.Origin(); o.IsField() {
				if t := owner(o); t != nil {
					note(s.name(t) + "." + o.Name())
				}
				return
			}
			note(s.name(o))
		default:
			note(s.name(o))
		}
	}
	for _, f := range p.Syntax {
		for _, d := range f.Decls {
			var within types.Object
			var own *types.TypeName
			if fd, ok := d.(*ast.FuncDecl); ok {
				within = p.TypesInfo.Defs[fd.Name]
				if r := within.(*types.Func).Signature().Recv(); r != nil {
					if n, ok := deref(r.Type()).(*types.Named); ok {
						own = n.Obj() // a method's receiver is no use of its type
					}
				}
			}
			receiver := ast.Node(nil)
			if fd, ok := d.(*ast.FuncDecl); ok && fd.Recv != nil {
				receiver = fd.Recv
			}
			ast.Inspect(d, func(n ast.Node) bool {
				switch n := n.(type) {
				case nil:
					return false
				case *ast.FieldList:
					if receiver != nil && n == receiver && own != nil {
						return false
					}
				case *ast.Ident:
					mention(p.TypesInfo.Uses[n], within)
				case *ast.SelectorExpr:
					if sel := p.TypesInfo.Selections[n]; sel != nil {
						mention(sel.Obj(), within)
					}
				case *ast.CompositeLit:
					if len(n.Elts) > 0 {
						if _, keyed := n.Elts[0].(*ast.KeyValueExpr); !keyed {
							if u, ok := p.TypesInfo.TypeOf(n).Underlying().(*types.Struct); ok {
								for i := range u.NumFields() {
									mention(u.Field(i), within)
								}
							}
						}
					}
				}
				return true
			})
		}
	}
}

func deref(t types.Type) types.Type {
	if p, ok := t.(*types.Pointer); ok {
		return p.Elem()
	}
	return t
}

// fieldOwners tells which named type of the module a field belongs to.
func fieldOwners(p *packages.Package) func(*types.Var) *types.TypeName {
	cache := map[*types.Package]map[*types.Var]*types.TypeName{}
	return func(f *types.Var) *types.TypeName {
		owners, ok := cache[f.Pkg()]
		if !ok {
			owners = map[*types.Var]*types.TypeName{}
			scope := f.Pkg().Scope()
			for _, n := range scope.Names() {
				if t, ok := scope.Lookup(n).(*types.TypeName); ok && !t.IsAlias() {
					if u, ok := t.Type().Underlying().(*types.Struct); ok {
						for i := range u.NumFields() {
							owners[u.Field(i)] = t
						}
					}
				}
			}
			cache[f.Pkg()] = owners
		}
		return owners[f]
	}
}

var action = regexp.MustCompile(`\{\{[^}]*\}\}`)
var dotted = regexp.MustCompile(`\.([A-Z]\w*)`)

// templates counts the names in the templates of HTML pages as used.
func (s *survey) templates() error {
	inPages := map[string]bool{}
	for _, root := range []string{"array", "cmd", "field", "render", "scenes"} {
		err := filepath.WalkDir(root, func(path string, e fs.DirEntry, err error) error {
			if err != nil || e.IsDir() || filepath.Ext(path) != ".html" {
				return err
			}
			text, err := os.ReadFile(path)
			for _, a := range action.FindAll(text, -1) {
				for _, m := range dotted.FindAllSubmatch(a, -1) {
					inPages[string(m[1])] = true
				}
			}
			return err
		})
		if err != nil {
			return errors.Join(errors.New("reading templates"), err)
		}
	}
	for name := range s.declared {
		if strings.Count(name, ".") > 1 && strings.HasPrefix(name, "render") && inPages[name[strings.LastIndexByte(name, '.')+1:]] {
			s.used[name] = true
		}
	}
	return nil
}
