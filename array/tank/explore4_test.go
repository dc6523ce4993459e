package tank
import ("testing";"fmt")
func TestConv(t *testing.T) {
	for _, m := range []int{1,2,4} {
	p := base()
	p.Cols, p.Rows = 128*m,80*m
	tk, _ := New(p)
	tk.FillDisc(0, 0.02, 0.008)
	for k := 1; k <= 10; k++ {
		st,_:=tk.Step(0.1, nil)
		_, y, _ := tk.Centroid()
		fmt.Printf(" %.5f(%.4f)", y, st.MaxSpeed)
	}
	fmt.Println()
	tk.Clear()
	tk.FillDisc(0, 0, 0.005)
	for k := 1; k <= 20; k++ {
		st,_:=tk.Step(0.05, gauss(tk,0.012,0,0.006,80))
		x, y, _ := tk.Centroid()
		fmt.Printf(" %.5f,%.5f(%.4f,%.4f)", x, y, st.MaxSpeed, tk.FractionIn(0.012,0,.009))
	}
	fmt.Println()
	}
}
