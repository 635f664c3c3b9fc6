package bench_test
import ("testing";"os";"fmt";"saponym/internal/render/pdf";"saponym/internal/paper/bench")
func TestZZ(t *testing.T){
 long:=plain(); long.Vessels=append([]bench.Vessel(nil),long.Vessels...); long.Vessels[0].Lines=nil
 for i:=range 25 { long.Vessels[0].Lines=append(long.Vessels[0].Lines,bench.Line{Name:fmt.Sprintf("Oil of the number %d from the hill",i),Grams:float64(i*37)+0.5})}
 long.Name="Lärchenharz & Gänseblümchen mit Żubrówka und Œillet, Größe"
 for n,s:=range map[string]bench.Sheet{"plain":plain(),"goat":goat(),"melt":melt(),"long":long} { for _,p:=range []string{"a4","letter"} {
  d,f,err:=s.Document(paper(t,p),on(t)); if err!=nil||len(f)>0{t.Log(n,f,err)}
  b,err:=pdf.Write(d); if err!=nil{t.Fatal(err)}
  os.WriteFile("/tmp/w/g/"+n+"-"+p+".pdf",b,0o644)
 }}}
