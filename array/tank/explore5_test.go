package tank
import ("testing";"fmt";"math/rand/v2";"math";"time")
func TestRough(t *testing.T) {
	type cs struct{ name string; f func(*Params); noise bool }
	for _, c := range []cs{
	{"base", func(p *Params){}, false},
	{"thin", func(p *Params){p.Gap=0.5e-3}, false},
	{"inviscid", func(p *Params){p.Viscosity=1e-3;p.Gap=8e-3}, false},
	{"nosigma", func(p *Params){p.SurfaceTension=0}, false},
	{"sigma30", func(p *Params){p.SurfaceTension=0.03}, false},
	{"noise", func(p *Params){}, true},
	{"noise inviscid nosigma", func(p *Params){p.Viscosity=1e-4;p.Gap=8e-3;p.SurfaceTension=0}, true},
	{"aniso", func(p *Params){p.Cols=200;p.Rows=200}, false},
	} {
	p := base()
	p.Cols, p.Rows = 128,80
	c.f(&p)
	tk, err := New(p)
	if err!=nil {t.Fatal(err)}
	tk.FillBelow(0.03)
	tk.FillDisc(0, 0.02, 0.008)
	rng := rand.New(rand.NewPCG(3,5))
	pi := make([]float64, p.Cols*p.Rows)
	lo,hi,mass,n,um,limbo:=0.,0.,0.,0,0.,0.
	t0:=time.Now()
	for k := 0; k < 60; k++ {
		clear(pi)
		if c.noise { for i := range pi { pi[i]=500*rng.Float64() } } else {
		for a := range 16 { for b := range 10 { if rng.Float64()<0.3 {
			x0,y0 := (float64(a)-7.5)*.012,(4.5-float64(b))*.012
			for i := range tk.ny { for j := range tk.nx { x,y:=tk.middle(i,j); d:=math.Hypot(x-x0,y-y0)/.005; if d<4 {pi[i*tk.nx+j]+=500*math.Exp(-d*d)}}}
		}}}}
		st,err:=tk.Step(0.05, pi)
		if err!=nil {t.Fatal(err)}
		l,h:=minmax(tk.c)
		lo=min(lo,l);hi=max(hi,h-1);mass=max(mass,math.Abs(st.MassError));n+=st.Substeps;um=max(um,st.MaxSpeed)
		limbo=max(limbo,math.Abs(tk.limbo))
	}
	fmt.Println(c.name,n,lo,hi,mass,um,limbo, tk.weight, tk.filled, float64(n)/time.Since(t0).Seconds())
	}
}
