module duckbench

go 1.26.8
