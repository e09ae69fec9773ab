package film
import ("testing";"image/png";"os";"fmt";"time";"context";"strokeledger/internal/demo")
func TestZStills(t *testing.T){
 c:=demo.Make(1)
 for _,x:=range []struct{s,n int}{{0,70},{0,84},{0,92},{0,99},{0,110},{1,500}}{
  img:=Still(c.Scenes[x.s],x.n)
  f,_:=os.Create(fmt.Sprintf("/tmp/demo/s%d_%d.png",x.s,x.n)); png.Encode(f,img); f.Close()
 }
}
func TestZTime(t *testing.T){
 c:=demo.Make(1)
 s:=c.Scenes[0]
 t0:=time.Now(); p:=newPainter(s); fmt.Println("backdrop",time.Since(t0))
 img:=Still(s,0); t0=time.Now(); for i:=0;i<200;i++{p.paint(img,i*5)}; fmt.Println("paint",time.Since(t0)/200)
 t0=time.Now(); track(s); fmt.Println("sound",time.Since(t0))
 t0=time.Now(); if err:=Write(context.Background(),s,"/tmp/demo/x.mp4",nil);err!=nil{t.Fatal(err)}; fmt.Println("write",time.Since(t0))
}
