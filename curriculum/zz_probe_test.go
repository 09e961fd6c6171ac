package curriculum
import ("os";"strconv";"testing";"strings";"fmt";"time")
var SZ,_=strconv.Atoi(os.Getenv("SZ"))
func TestProbe(t *testing.T){
 for _,c:=range []struct{n,s string}{
  {"open",strings.Repeat("[",1<<20)},{"open{",strings.Repeat("{a: ",1<<18)},{"dash",strings.Repeat("- ",1<<19)},{"q",strings.Repeat("? ",1<<19)},
  {"colon",strings.Repeat("a: ",1<<18)},{"balanced",strings.Repeat("[",1<<19)+strings.Repeat("]",1<<19)},{"lines",strings.Repeat("a:\n",1<<18)},
  {"keys",strings.Repeat("zz: 1\n",1<<17)},{"nest",func()string{var b strings.Builder; for i:=0;i<1400;i++{b.WriteString(strings.Repeat(" ",i)+"a:\n")};return b.String()}()},
  {"bang",strings.Repeat("! ",1<<19)},{"amp",strings.Repeat("&a ",1<<18)},{"docs",strings.Repeat("---\na: 1\n",1<<16)},{"quote",strings.Repeat("\"",1<<20)},{"pct",strings.Repeat("%YAML 1.2\n",1<<16)},
  {"comment",strings.Repeat("# a\n",1<<18)},{"needs","units: [{id: A, skills: ["+func()string{var b strings.Builder; for i:=0;i<12000;i++{fmt.Fprintf(&b,"{id: s%d, title: x, needs: [t%d, s%d, s0]},",i,i,i+1)};return b.String()}()+"]}]\n"},
  }{ s:=c.s; if o:=os.Getenv("ONLY"); o!=""&&o!=c.n {continue}; sz:=SZ; if len(s)>sz {s=s[:sz]}
   st:=time.Now(); done:=make(chan int); go func(){ defer close(done); defer func(){ if r:=recover();r!=nil{fmt.Println(c.n,"PANIC",r)}}(); _,err:=Read("x",[]byte(s)); n:=0; if err!=nil{n=len(err.Error())}; fmt.Println(c.n,n,time.Since(st))}()
   select{case <-done: case <-time.After(15*time.Second): fmt.Println(c.n,"TIMEOUT")} }
}
