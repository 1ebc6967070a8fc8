module bucktail

go 1.26

ignore ./pwa/node_modules
