begin_version
3
end_version
begin_metric
1
end_metric
30
begin_variable
var0
-1
2
Atom on_9()
NegatedAtom on_9()
end_variable
begin_variable
var1
-1
2
Atom on_2()
NegatedAtom on_2()
end_variable
begin_variable
var2
-1
2
Atom on_4()
NegatedAtom on_4()
end_variable
begin_variable
var3
-1
2
Atom on_6()
NegatedAtom on_6()
end_variable
begin_variable
var4
-1
2
Atom on_3()
NegatedAtom on_3()
end_variable
begin_variable
var5
-1
2
Atom on_7()
NegatedAtom on_7()
end_variable
begin_variable
var6
-1
2
Atom on_5()
NegatedAtom on_5()
end_variable
begin_variable
var7
-1
2
Atom on_12()
NegatedAtom on_12()
end_variable
begin_variable
var8
-1
2
Atom on_11()
NegatedAtom on_11()
end_variable
begin_variable
var9
-1
2
Atom on_1()
NegatedAtom on_1()
end_variable
begin_variable
var10
-1
2
Atom on_0()
NegatedAtom on_0()
end_variable
begin_variable
var11
-1
2
Atom on_10()
NegatedAtom on_10()
end_variable
begin_variable
var12
-1
2
Atom on_8()
NegatedAtom on_8()
end_variable
begin_variable
var13
-1
2
Atom on_13()
NegatedAtom on_13()
end_variable
begin_variable
var14
-1
2
Atom done_7()
NegatedAtom done_7()
end_variable
begin_variable
var15
-1
2
Atom done_8()
NegatedAtom done_8()
end_variable
begin_variable
var16
-1
2
Atom done_9()
NegatedAtom done_9()
end_variable
begin_variable
var17
-1
2
Atom done_4()
NegatedAtom done_4()
end_variable
begin_variable
var18
-1
2
Atom done_5()
NegatedAtom done_5()
end_variable
begin_variable
var19
-1
2
Atom done_6()
NegatedAtom done_6()
end_variable
begin_variable
var20
-1
2
Atom done_12()
NegatedAtom done_12()
end_variable
begin_variable
var21
-1
2
Atom done_13()
NegatedAtom done_13()
end_variable
begin_variable
var22
-1
2
Atom done_14()
NegatedAtom done_14()
end_variable
begin_variable
var23
-1
2
Atom done_10()
NegatedAtom done_10()
end_variable
begin_variable
var24
-1
2
Atom done_11()
NegatedAtom done_11()
end_variable
begin_variable
var25
-1
2
Atom done_0()
NegatedAtom done_0()
end_variable
begin_variable
var26
-1
2
Atom done_1()
NegatedAtom done_1()
end_variable
begin_variable
var27
-1
2
Atom done_2()
NegatedAtom done_2()
end_variable
begin_variable
var28
-1
2
Atom done_3()
NegatedAtom done_3()
end_variable
begin_variable
var29
-1
2
Atom goal0()
NegatedAtom goal0()
end_variable
0
begin_state
0
0
0
0
0
0
0
0
0
1
1
0
0
0
1
1
1
1
1
1
1
1
1
1
1
1
1
1
1
1
end_state
begin_goal
1
29 0
end_goal
54
begin_operator
fit_0_way_0 
0
1
0 10 1 0
15
end_operator
begin_operator
fit_10_way_0 
2
8 0
5 1
1
0 11 1 0
40
end_operator
begin_operator
fit_10_way_1 
3
8 0
1 1
12 1
1
0 11 1 0
40
end_operator
begin_operator
fit_10_way_2 
2
8 0
4 1
1
0 11 1 0
40
end_operator
begin_operator
fit_11_way_0 
1
2 1
1
0 8 1 0
10
end_operator
begin_operator
fit_12_way_0 
2
3 1
5 1
1
0 7 1 0
60
end_operator
begin_operator
fit_13_way_0 
2
11 1
12 1
1
0 13 1 0
30
end_operator
begin_operator
fit_1_way_0 
0
1
0 9 1 0
20
end_operator
begin_operator
fit_2_way_0 
0
1
0 1 1 0
60
end_operator
begin_operator
fit_3_way_0 
1
1 1
1
0 4 1 0
20
end_operator
begin_operator
fit_4_way_0 
1
1 1
1
0 2 1 0
20
end_operator
begin_operator
fit_5_way_0 
2
1 1
4 1
1
0 6 1 0
10
end_operator
begin_operator
fit_6_way_0 
1
2 1
1
0 3 1 0
20
end_operator
begin_operator
fit_7_way_0 
2
4 1
3 1
1
0 5 1 0
30
end_operator
begin_operator
fit_7_way_1 
1
1 1
1
0 5 1 0
30
end_operator
begin_operator
fit_8_way_0 
3
10 0
11 0
4 1
1
0 12 1 0
30
end_operator
begin_operator
fit_8_way_1 
4
10 0
11 0
6 1
3 1
1
0 12 1 0
30
end_operator
begin_operator
fit_8_way_2 
4
10 0
11 0
4 1
6 1
1
0 12 1 0
30
end_operator
begin_operator
fit_9_way_0 
0
1
0 0 1 0
5
end_operator
begin_operator
reach_goal0 
29
25 0
26 0
23 0
24 0
20 0
21 0
22 0
27 0
28 0
17 0
18 0
19 0
14 0
15 0
16 0
10 1
9 1
11 0
8 0
7 0
13 0
1 0
4 0
2 0
6 0
3 0
5 0
12 0
0 0
1
0 29 -1 0
1
end_operator
begin_operator
take_0_way_0 
0
1
0 10 0 1
10
end_operator
begin_operator
take_10_way_0 
2
8 0
5 1
1
0 11 0 1
40
end_operator
begin_operator
take_10_way_1 
3
8 0
1 1
12 1
1
0 11 0 1
40
end_operator
begin_operator
take_10_way_2 
2
8 0
4 1
1
0 11 0 1
40
end_operator
begin_operator
take_11_way_0 
1
2 1
1
0 8 0 1
30
end_operator
begin_operator
take_12_way_0 
2
3 1
5 1
1
0 7 0 1
40
end_operator
begin_operator
take_13_way_0 
2
11 1
12 1
1
0 13 0 1
10
end_operator
begin_operator
take_1_way_0 
0
1
0 9 0 1
10
end_operator
begin_operator
take_2_way_0 
0
1
0 1 0 1
20
end_operator
begin_operator
take_3_way_0 
1
1 1
1
0 4 0 1
15
end_operator
begin_operator
take_4_way_0 
1
1 1
1
0 2 0 1
10
end_operator
begin_operator
take_5_way_0 
2
1 1
4 1
1
0 6 0 1
15
end_operator
begin_operator
take_6_way_0 
1
2 1
1
0 3 0 1
15
end_operator
begin_operator
take_7_way_0 
2
4 1
3 1
1
0 5 0 1
15
end_operator
begin_operator
take_7_way_1 
1
1 1
1
0 5 0 1
15
end_operator
begin_operator
take_8_way_0 
3
10 0
11 0
4 1
1
0 12 0 1
20
end_operator
begin_operator
take_8_way_1 
4
10 0
11 0
6 1
3 1
1
0 12 0 1
20
end_operator
begin_operator
take_8_way_2 
4
10 0
11 0
4 1
6 1
1
0 12 0 1
20
end_operator
begin_operator
take_9_way_0 
0
1
0 0 0 1
20
end_operator
begin_operator
task_0 
1
13 1
1
0 25 -1 0
0
end_operator
begin_operator
task_1 
2
25 0
12 1
1
0 26 -1 0
0
end_operator
begin_operator
task_10 
2
19 0
2 1
1
0 23 -1 0
0
end_operator
begin_operator
task_11 
3
23 0
10 0
5 1
1
0 24 -1 0
0
end_operator
begin_operator
task_12 
1
8 1
1
0 20 -1 0
0
end_operator
begin_operator
task_13 
3
20 0
8 0
1 1
1
0 21 -1 0
0
end_operator
begin_operator
task_14 
3
21 0
10 0
8 1
1
0 22 -1 0
0
end_operator
begin_operator
task_2 
2
26 0
5 1
1
0 27 -1 0
0
end_operator
begin_operator
task_3 
2
27 0
11 1
1
0 28 -1 0
0
end_operator
begin_operator
task_4 
1
0 1
1
0 17 -1 0
0
end_operator
begin_operator
task_5 
3
17 0
3 1
0 0
1
0 18 -1 0
0
end_operator
begin_operator
task_6 
2
18 0
0 1
1
0 19 -1 0
0
end_operator
begin_operator
task_7 
1
1 1
1
0 14 -1 0
0
end_operator
begin_operator
task_8 
3
14 0
11 1
1 0
1
0 15 -1 0
0
end_operator
begin_operator
task_9 
3
15 0
9 0
1 1
1
0 16 -1 0
0
end_operator
0
