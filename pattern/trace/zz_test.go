package trace
import ("testing";"os";"strconv";"strings")
func TestZZ(t *testing.T){
 f:=strings.Fields(os.Getenv("ZZ")) // ring radius seed corners...
 ring:=pocketShape(); if f[0]=="front"{ring=frontShape()}
 r,_:=strconv.ParseFloat(f[1],64); s,_:=strconv.Atoi(f[2]); var cs []int
 for _,x:=range f[3:]{c,_:=strconv.Atoi(x);cs=append(cs,c)}
 t.Log(roundingTold(t,"zz",ring,cs,r,uint64(s)))
}
