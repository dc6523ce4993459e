package scope

import "syscall/js"

func init() {
	browser.ask = func(then func()) {
		var f js.Func
		f = js.FuncOf(func(js.Value, []js.Value) any {
			f.Release()
			then()
			return nil
		})
		js.Global().Call("setTimeout", f, 0)
	}
}
