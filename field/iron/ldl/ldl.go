// Package ldl factors sparse symmetric matrices as L·D·Lᵀ without pivoting: positive
// definite ones, and complex symmetric ones whose real part is positive definite and
// imaginary part semi-definite, as those of eddy currents are, where it is as stable (N. J.
// Higham, Math. Comp. 67 (1998) 1591; from memory).
//
// The factor is computed row by row (up-looking): the pattern of row k of L is the
// part of the elimination tree reached from the entries of column k of the upper
// triangle (T. A. Davis, Direct Methods for Sparse Linear Systems, SIAM 2006,
// ch. 4; from memory). The pattern depends on the matrix's pattern alone, so
// Analyse runs once and Factor once per set of values. The caller chooses the
// order of the unknowns; see Dissect for one that keeps the fill low on a grid.
package ldl

import "fmt"

// Pattern is the upper triangle, diagonal included, of a symmetric matrix in
// compressed columns: column j holds rows Rows[Start[j]:Start[j+1]], all ≤ j.
type Pattern struct {
	N     int
	Start []int32 // len N+1
	Rows  []int32
}

// Number is what the matrices are made of.
type Number interface{ float64 | complex128 }

// Factor is L and D of P = L·D·Lᵀ with unit diagonal L, and the scratch to
// compute them again for other values.
type Factor[T Number] struct {
	pattern Pattern
	parent  []int32 // elimination tree
	start   []int32 // columns of L
	rows    []int32
	values  []T
	inverse []T // of D

	filled  []int32 // entries of each column of L so far
	mark    []int32
	stack   []int32
	row     []T
	reached []int32
}

// Analyse prepares the factorisation of matrices with pattern p.
func Analyse[T Number](p Pattern) *Factor[T] {
	n := p.N
	f := &Factor[T]{
		pattern: p, parent: make([]int32, n), start: make([]int32, n+1), inverse: make([]T, n),
		filled: make([]int32, n), mark: make([]int32, n), stack: make([]int32, n), row: make([]T, n), reached: make([]int32, n),
	}
	count := make([]int32, n)
	for k := range n {
		f.parent[k], f.mark[k] = -1, int32(k)
		for _, r := range p.Rows[p.Start[k]:p.Start[k+1]] {
			for i := r; f.mark[i] != int32(k); i = f.parent[i] {
				if f.parent[i] < 0 {
					f.parent[i] = int32(k)
				}
				count[i]++
				f.mark[i] = int32(k)
			}
		}
	}
	for k := range n {
		f.start[k+1] = f.start[k] + count[k]
	}
	f.rows = make([]int32, f.start[n])
	f.values = make([]T, f.start[n])
	return f
}

// Factor computes L and D for the values of the pattern's entries, in its order.
// It fails at the first pivot that is not positive.
func (f *Factor[T]) Factor(values []T) error {
	p, n := f.pattern, f.pattern.N
	for k := range n {
		f.mark[k], f.filled[k] = -1, 0
	}
	for k := range n {
		f.mark[k] = int32(k)
		top := n
		var diagonal T
		for e := p.Start[k]; e < p.Start[k+1]; e++ {
			i := p.Rows[e]
			if int(i) == k {
				diagonal += values[e]
				continue
			}
			f.row[i] += values[e]
			// The path from i to the root, as far as it is new.
			length := 0
			for ; f.mark[i] != int32(k); i = f.parent[i] {
				f.stack[length] = i
				length++
				f.mark[i] = int32(k)
			}
			for length > 0 {
				length--
				top--
				f.reached[top] = f.stack[length]
			}
		}
		row := f.row
		// divided takes the entry of row k in column i, whose part above is done.
		divided := func(i int32, y T) {
			l, at := y*f.inverse[i], f.start[i]+f.filled[i]
			diagonal -= l * y
			f.rows[at], f.values[at] = int32(k), l
			f.filled[i]++
		}
		for t := top; t < n; t++ {
			i := f.reached[t]
			y := row[i]
			row[i] = 0
			from := f.start[i]
			rows := f.rows[from : from+f.filled[i]]
			vals := f.values[from:][:len(rows)]
			next := f.parent[i]
			if t+1 == n || f.reached[t+1] != next || int(f.filled[next]) != len(rows)-1 {
				for e, r := range rows {
					row[r] -= vals[e] * y
				}
				divided(i, y)
				continue
			}
			// The next column has the same rows but itself: both at once spare half the looking up.
			t++
			z := row[next] - vals[0]*y
			row[next] = 0
			rows, vals = rows[1:], vals[1:][:len(rows)-1]
			more := f.values[f.start[next]:][:len(rows)]
			for e, r := range rows {
				row[r] = row[r] - vals[e]*y - more[e]*z
			}
			divided(i, y)
			divided(next, z)
		}
		if !positive(diagonal) {
			return fmt.Errorf("factoring a sparse matrix: pivot %d of %d is %v; the matrix is not positive definite", k, n, diagonal)
		}
		f.inverse[k] = 1 / diagonal
	}
	return nil
}

// positive reports whether a number's real part is.
func positive[T Number](x T) bool {
	switch v := any(x).(type) {
	case float64:
		return v > 0
	case complex128:
		return real(v) > 0
	}
	return false
}

// Solve overwrites b with the solution x of L·D·Lᵀ x = b.
func (f *Factor[T]) Solve(b []T) {
	n := f.pattern.N
	for j := range n {
		x := b[j]
		for e := f.start[j]; e < f.start[j+1]; e++ {
			b[f.rows[e]] -= f.values[e] * x
		}
	}
	for j := range n {
		b[j] *= f.inverse[j]
	}
	for j := n - 1; j >= 0; j-- {
		x := b[j]
		for e := f.start[j]; e < f.start[j+1]; e++ {
			x -= f.values[e] * b[f.rows[e]]
		}
		b[j] = x
	}
}

// Size is the number of unknowns.
func (f *Factor[T]) Size() int { return f.pattern.N }

// Multiply adds A·x to out, A the symmetric matrix with the given values.
func (f *Factor[T]) Multiply(out, values, x []T) {
	p := f.pattern
	for j := range p.N {
		for e := p.Start[j]; e < p.Start[j+1]; e++ {
			i := p.Rows[e]
			out[i] += values[e] * x[j]
			if int(i) != j {
				out[j] += values[e] * x[i]
			}
		}
	}
}
