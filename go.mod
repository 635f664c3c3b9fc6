module saponym

go 1.26
